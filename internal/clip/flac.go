package clip

import (
	"errors"
	"io"
	"math"
	"slices"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// flacDecoder reads FLAC through mewkiz/flac, which decodes whole blocks.
//
// Source: RFC 9639.
type flacDecoder struct {
	info    *meta.StreamInfo // the head of the file
	blocks  flacBlocks
	desc    format
	scale   float32 // from a code to full scale 1
	frame   *frame.Frame
	at      int    // samples of frame that were given out
	decoded uint64 // in all, of each channel
	notes   []string
}

// openFLAC reads up to the first block. The library reads samples of 8, 12, 16, 20
// and 24 bits; others are possible and rare.
func openFLAC(in *input) (decoder, error) {
	stream, err := flac.New(in.Reader) // buffered already, so that the blocks can be read from it
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, sayEndsEarly()
	}
	if err != nil {
		return nil, err
	}
	info, l := stream.Info, in.o.Limits
	switch rate, channels := info.SampleRate, uint16(info.NChannels); {
	case int(channels) > l.Channels:
		return nil, sayChannels(channels, l)
	case float64(rate) < float64(l.MinRate) || float64(rate) > float64(l.MaxRate):
		return nil, sayRate(rate, l)
	case !slices.Contains([]uint8{8, 12, 16, 20, 24}, info.BitsPerSample):
		return nil, errUnsupported(nameFLAC(info.BitsPerSample))
	}
	d := &flacDecoder{info: info, blocks: flacBlocks{in.Reader}, scale: float32(math.Ldexp(1, 1-int(info.BitsPerSample)))}
	d.desc = format{
		container: "flac", codec: "flac",
		rate: int(info.SampleRate), channels: int(info.NChannels),
		fullScaleFrom: fullScale16, fullScaleTo: math.MaxFloat32,
	}
	if info.BitsPerSample < 16 {
		d.desc.fullScaleFrom = 1 - d.scale
	}
	return d, nil
}

func (d *flacDecoder) format() format    { return d.desc }
func (d *flacDecoder) remarks() []string { return d.notes }

func (d *flacDecoder) decode(dst []float32) (int, error) {
	for d.frame == nil || d.at == len(d.frame.Subframes[0].Samples) {
		if err := d.next(); err != nil {
			return 0, err
		}
	}
	channels := d.desc.channels
	n := min(len(dst)/channels, len(d.frame.Subframes[0].Samples)-d.at)
	for c, sub := range d.frame.Subframes {
		for i, v := range sub.Samples[d.at : d.at+n] {
			dst[i*channels+c] = float32(v) * d.scale
		}
	}
	d.at += n
	return n * channels, nil
}

// next decodes one block, which may be empty. The library checks the checksums, but
// not whether the block agrees with the header of the file.
func (d *flacDecoder) next() error {
	info := d.info
	f, err := d.blocks.next()
	ends := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
	switch {
	case ends && d.decoded == 0 && info.NSamples > 0:
		return sayEndsEarly()
	case ends && (err != io.EOF || d.decoded < info.NSamples):
		d.notes = append(d.notes, remarkCut)
		return io.EOF
	case err != nil:
		return err
	case f.BitsPerSample != info.BitsPerSample || f.SampleRate != 0 && f.SampleRate != info.SampleRate ||
		len(f.Subframes) != int(info.NChannels):
		return errFLACChanges
	}
	n := len(f.Subframes[0].Samples)
	for _, sub := range f.Subframes {
		if len(sub.Samples) != n {
			return errFLACUneven
		}
	}
	d.frame, d.at = f, 0
	d.decoded += uint64(n)
	return nil
}

var (
	errFLACChanges = errors.New("clip: a FLAC block differs from the head of the file in rate, channels or bits")
	errFLACUneven  = errors.New("clip: a FLAC block has channels of different length")
)

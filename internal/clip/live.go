package clip

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"time"

	"topnote/internal/engine"
)

// Live gives the options for a sound that is still coming and decoded in blocks of
// this length: it may last as long as it will, and its channels are mixed from the
// start, since nothing of them is known yet.
func Live(block engine.Seconds) Options {
	o := Default()
	o.Block = block
	o.Lookahead, o.SamplesOnly = 0, true
	o.Limits.Bytes, o.Limits.Samples = math.MaxInt64, math.MaxInt64
	o.Limits.Duration, o.Limits.DecodeTime = engine.Seconds(math.Inf(1)), time.Duration(math.MaxInt64)
	return o
}

// RawWAV gives r, samples of 16 bits, little-endian, interleaved by channel, behind the
// header of a WAV file whose length is open. The error is a *Problem: a rate or a
// number of channels that cannot be read.
func RawWAV(r io.Reader, rate, channels int) (io.Reader, error) {
	l := DefaultLimits()
	switch {
	case channels < 1 || channels > l.Channels:
		return nil, sayChannels(uint16(min(max(channels, 0), math.MaxUint16)), l)
	case float64(rate) < float64(l.MinRate) || float64(rate) > float64(l.MaxRate):
		return nil, sayRate(uint32(min(max(rate, 0), math.MaxInt32)), l)
	}
	const width = 2
	head := plainHeader(rate, channels, width)
	binary.LittleEndian.PutUint32(head[len(head)-4:], unknownSize)
	return io.MultiReader(bytes.NewReader(head), r), nil
}

// WAVOf gives samples of 16 bits, interleaved by channel, as a WAV file.
func WAVOf(samples []int16, rate, channels int) []byte {
	const width = 2
	out := plainHeader(rate, channels, width)
	size := uint32(len(samples) * width)
	binary.LittleEndian.PutUint32(out[4:], size+uint32(len(out))-8)
	binary.LittleEndian.PutUint32(out[len(out)-4:], size)
	out, _ = binary.Append(out, binary.LittleEndian, samples) // of plain numbers: cannot fail
	return out
}

package clip

import (
	"bufio"
	"context"
	"errors"
	"io"
	"io/fs"
	"slices"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/parallel"
)

const (
	readAhead   = 1 << 16 // bytes of the file that are held
	blockFrames = 1 << 14 // frames that are decoded at a time
)

// Stream is the sound of a recording, piece by piece, mono at WorkingRate. It
// is not safe for two goroutines. One that is not read to its end or to an error
// has to be closed.
type Stream struct {
	ctx   context.Context
	src   *source
	in    *input
	guard guard
	dec   decoder
	is    format
	o     Options
	info  Info

	lanes  []*channelPipeline // every channel until chosen, then those in use
	chosen bool
	frames int64 // decoded so far
	bytes  int64 // that the file has, 0 when not known

	block []float32
	ended error // what the decoder gave after its last sample: io.EOF or a *Problem
	err   error // what Read gives once the queues are empty
}

// NewStream opens the recording in r, which it will read to its end. name is
// what Info.File shows. When ctx ends, so does the work within a block of sound;
// a reader that waits for bytes is not interrupted. The error is a *Problem, or
// that of ctx.
func NewStream(ctx context.Context, r io.Reader, name string, o Options) (*Stream, error) {
	src := newSource(ctx, r, o.Limits.Bytes)
	s := &Stream{
		ctx:   ctx,
		src:   src,
		in:    &input{Reader: bufio.NewReaderSize(src, readAhead), src: src, from: r, o: o},
		guard: guard{src: src, limit: o.Limits.DecodeTime},
		o:     o,
		bytes: sizeOf(r),
	}
	err := s.guard.run(func() (err error) {
		s.dec, err = open(s.in)
		return err
	})
	if err != nil {
		return nil, err
	}
	s.is = s.dec.format()
	s.info = Info{
		File:       name,
		SampleRate: engine.Hz(s.is.rate),
		Channels:   s.is.channels,
		Container:  s.is.container,
		Codec:      s.is.codec,
	}
	s.block = make([]float32, blockFrames*s.is.channels)
	filters := design(s.is.rate, o.Filter)
	for c := range s.is.channels {
		s.lanes = append(s.lanes, &channelPipeline{channel: c, resampler: newResampler(filters), band: newBandMeter(s.is.rate)})
	}
	return s, nil
}

// Read puts the next samples into dst and returns how many; fewer than
// len(dst) do not mean the end. Full scale is 1; where the file was clipped or
// holds floats above full scale, samples may pass it. The error comes with 0
// samples: io.EOF, a *Problem, that of the context, or a *parallel.Panic where a
// fault of the program showed. With more than one channel the first call takes in
// Options.Lookahead of the sound.
func (s *Stream) Read(dst []float32) (int, error) {
	for len(dst) > 0 && (!s.chosen || len(s.lanes[0].waiting()) == 0) {
		if s.err != nil {
			return 0, s.err
		}
		s.fill()
	}
	if len(dst) == 0 {
		return 0, nil
	}
	n := min(len(dst), len(s.lanes[0].waiting()))
	for i := range dst[:n] {
		dst[i] = float32(mixed(s.lanes, i))
	}
	for _, l := range s.lanes {
		l.drop(n)
	}
	return n, nil
}

// Close ends the work of another program that decodes, if there is one, and
// frees what it holds. It may be called more than once. The error is always nil.
func (s *Stream) Close() error {
	if s.err == nil {
		s.err = sayReadFailed(fs.ErrClosed)
	}
	if c, ok := s.dec.(io.Closer); ok {
		return c.Close()
	}
	return nil
}

// Info gives what is known of the clip. It is complete once Read has returned
// io.EOF; before that, the fields that need the whole sound are zero.
func (s *Stream) Info() Info {
	i := s.info
	i.Remarks = slices.Clone(i.Remarks)
	return i
}

// Collect reads what is left of the sound and closes the stream. Samples above
// full scale, as floats can be, are scaled down with the whole. The errors are
// those of Read but io.EOF.
func (s *Stream) Collect() (*Sound, error) {
	defer s.Close() // always nil
	store := audio.NewSpool(audio.Options{
		Keep:   int(s.o.InMemory * engine.Seconds(WorkingRate)),
		Expect: int(s.expected()),
	})
	if err := s.readInto(store); err != nil {
		store.Close() // the first error counts
		return nil, err
	}
	info := s.Info()
	if peak := float32(info.PeakLevel); peak > 1 {
		store.Divide(peak)
		if !s.is.lossy {
			info.Remarks = append(info.Remarks, remarkScaled(peak))
		}
	}
	return &Sound{Info: info, Rate: WorkingRate, Samples: readBack{store}}, nil
}

// readInto puts what is left of the sound into a store.
func (s *Stream) readInto(store *audio.Spool) error {
	block := make([]float32, blockFrames)
	for {
		n, err := s.Read(block)
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if err := store.Append(block[:n]); err != nil {
			return sayNoPlace(err)
		}
	}
}

// expected gives the samples that the whole file can make at most, as far as
// its size tells: what the header claims is not asked.
func (s *Stream) expected() int64 {
	if s.is.frameBytes == 0 {
		return 0
	}
	most := int64(float64(s.o.Limits.Duration) * float64(WorkingRate))
	return min(most, outputLength(s.bytes/int64(s.is.frameBytes), s.is.rate)) + blockFrames
}

// fill resamples the block that was decoded last and meanwhile decodes and
// measures the next, or sets s.err. The two cost about the same, so that of two
// processors both have work; nothing of it goes on when fill is done.
func (s *Stream) fill() {
	var filters parallel.Group
	for _, l := range s.lanes {
		x := l.handOver()
		filters.Go(func() error {
			l.filter(x)
			return nil
		})
	}
	err := s.next()
	if fault := filters.Wait(); fault != nil {
		s.fail(fault)
		return
	}
	heard := engine.Seconds(float64(s.lanes[0].made) / float64(WorkingRate))
	if !s.chosen && (s.is.channels == 1 || heard >= s.o.Lookahead) {
		s.choose()
	}
	if errors.Is(err, io.EOF) {
		err = s.finish()
	}
	if err != nil {
		s.fail(err)
	}
}

// fail ends the stream with err, io.EOF included.
func (s *Stream) fail(err error) {
	s.err = err
	s.Close() // always nil
}

// next decodes and measures one block. With an error, which may be io.EOF, there
// is none.
func (s *Stream) next() error {
	if err := s.ctx.Err(); err != nil {
		return err
	}
	n := 0
	for s.ended == nil && n < len(s.block) { // few decoders fill all of it at once
		s.ended = s.guard.run(func() error {
			more, err := s.dec.decode(s.block[n:])
			if err == nil {
				n += more
			}
			return err
		})
	}
	if n == 0 {
		return s.end()
	}
	s.frames += int64(n / s.is.channels)
	switch most := s.o.Limits.longest(s.is.rate, s.is.channels); {
	case s.duration() > s.o.Limits.Duration:
		return sayTooLong(s.o.Limits.Duration)
	case s.duration() > most:
		return sayTooManySamples(most, s.is.rate, s.is.channels)
	}
	for _, l := range s.lanes {
		l.take(s.block[:n], s.is)
	}
	return nil
}

// end gives how the sound ended: what was read of a damaged one is used.
func (s *Stream) end() error {
	var p *Problem
	if errors.As(s.ended, &p) && p.Code == CodeDamaged && s.frames > 0 {
		s.info.Remarks = append(s.info.Remarks, remarkDamaged(s.duration()))
		return io.EOF
	}
	return s.ended
}

func (s *Stream) duration() engine.Seconds {
	return engine.Seconds(float64(s.frames) / float64(s.is.rate))
}

// choose settles which channels are measured.
func (s *Stream) choose() {
	var remarks []string
	s.lanes, remarks = choose(s.lanes, s.frames, s.o)
	s.info.Remarks = append(s.info.Remarks, remarks...)
	used := make([]int, len(s.lanes))
	for i, l := range s.lanes {
		used[i] = l.channel
	}
	s.info.Used = sayUsed(used, s.is.channels)
	s.chosen = true
}

// finish completes sound and facts at the end of the sound. It returns io.EOF
// when all is well.
func (s *Stream) finish() error {
	if s.frames == 0 {
		return sayNoSound()
	}
	for _, l := range s.lanes {
		l.finish(outputLength(s.frames, s.is.rate))
	}
	if !s.chosen {
		s.choose()
	}
	// The rest of the file has no sound, but its bytes count for the sum.
	err := s.guard.run(func() error {
		_, err := io.Copy(io.Discard, s.in)
		return err
	})
	if err != nil {
		return err
	}
	return s.conclude()
}

// conclude fills in the facts that need the whole file.
func (s *Stream) conclude() error {
	var clipped, noNumber int64
	var peak float32
	for _, l := range s.lanes {
		clipped += l.clipped
		noNumber += l.noNumber
		peak = max(peak, l.peak)
	}
	all := float64(s.frames * int64(len(s.lanes)))
	percent := func(n int64) float64 { return 100 * float64(n) / all } // in this order all of them are 100 to the last bit
	if bad := percent(noNumber); bad > s.o.NoNumberOver {
		return sayDamaged(wrongNumbers(bad))
	}
	s.info.SHA256 = s.src.sum()
	s.info.Codec = s.dec.format().codec // ffmpeg tells it late
	s.info.Duration = s.duration()
	s.info.ClippedPct = percent(clipped)
	s.info.PeakLevel = float64(peak)
	s.info.LowEdge, s.info.HighEdge = bandOf(s.lanes, s.o.Band)
	s.info.Remarks = append(s.info.Remarks, s.dec.remarks()...)
	if noNumber > 0 {
		s.info.Remarks = append(s.info.Remarks, remarkNoNumbers(noNumber))
	}
	if peak == 0 {
		s.info.Remarks = append(s.info.Remarks, remarkSilent)
	}
	return io.EOF
}

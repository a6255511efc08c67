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
	"topnote/internal/resample"
)

const (
	readAhead   = 1 << 16 // bytes of the file that are buffered
	blockFrames = 1 << 15 // frames that are decoded at a time: what is kept of them stays in the cache of a processor, and starting a goroutine does not count
)

// Stream is the sound of a recording, read block by block, mono at WorkingRate. It
// is not safe for two goroutines. It has to be closed unless it was read to its
// end or to an error.
type Stream struct {
	ctx    context.Context
	src    *source
	in     *input
	guard  guard
	dec    decoder
	format format
	o      Options
	info   Info

	pipelines []*channelPipeline // all channels until chosen, then those in use
	chosen    bool
	frames    int64 // decoded so far
	bytes     int64 // size of the file, 0 when not known

	block []float32
	ended error // of the decoder after its last sample: io.EOF or a *Problem
	err   error // of Read once the queues are empty
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
	s.format = s.dec.format()
	s.info = Info{
		File:       name,
		SampleRate: engine.Hz(s.format.rate),
		Channels:   s.format.channels,
		Container:  s.format.container,
		Codec:      s.format.codec,
	}
	block := int(float64(o.Block) * float64(s.format.rate))
	if block == 0 {
		block = blockFrames
	}
	s.block = make([]float32, block*s.format.channels)
	filters := resample.Design(s.format.rate, o.Filter)
	for c := range s.format.channels {
		l := &channelPipeline{channel: c, Resampler: resample.New(filters)}
		if !o.SamplesOnly {
			l.band, l.integrity = newBandMeter(s.format.rate), newIntegrityMeter(s.format.rate, o.Integrity)
		}
		s.pipelines = append(s.pipelines, l)
	}
	return s, nil
}

// Read puts the next samples into dst and returns how many; fewer than
// len(dst) do not mean the end. Full scale is 1; where the file was clipped or
// holds floats above full scale, samples may pass it. The error comes with 0
// samples: io.EOF, a *Problem, that of the context, or a *parallel.Panic, which is
// a fault of the program. With more than one channel the first call reads
// Options.Lookahead of the sound.
func (s *Stream) Read(dst []float32) (int, error) {
	for len(dst) > 0 && (!s.chosen || len(s.pipelines[0].waiting()) == 0) {
		if s.err != nil {
			return 0, s.err
		}
		s.fill()
	}
	if len(dst) == 0 {
		return 0, nil
	}
	n := min(len(dst), len(s.pipelines[0].waiting()))
	if one := s.pipelines[0]; len(s.pipelines) == 1 {
		copy(dst, one.waiting()[:n])
	} else {
		for i := range dst[:n] {
			dst[i] = float32(mixed(s.pipelines, i))
		}
	}
	for _, l := range s.pipelines {
		l.drop(n)
	}
	return n, nil
}

// Close ends ffmpeg, if it is running, and removes its temporary file. It may be
// called more than once. The error is always nil.
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

// Collect reads the rest of the sound and closes the stream. Where samples pass
// full scale, as floats can, the whole sound is scaled down. The errors are those
// of Read but io.EOF.
func (s *Stream) Collect() (*Sound, error) {
	defer s.Close() // always nil
	spool := audio.NewSpool(audio.Options{
		Keep:   int(s.o.InMemory * engine.Seconds(WorkingRate)),
		Expect: int(s.expected()),
	})
	if err := s.readInto(spool); err != nil {
		spool.Close() // the first error counts
		return nil, err
	}
	info := s.Info()
	if peak := float32(info.PeakLevel); peak > 1 {
		spool.Divide(peak)
		if !s.format.lossy {
			info.Remarks = append(info.Remarks, remarkScaled(peak))
		}
	}
	return &Sound{Info: info, Rate: WorkingRate, Samples: readBack{spool}}, nil
}

// readInto appends the rest of the sound to a spool.
func (s *Stream) readInto(spool *audio.Spool) error {
	block := make([]float32, blockFrames)
	for {
		n, err := s.Read(block)
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if err := spool.Append(block[:n]); err != nil {
			return sayNoPlace(err)
		}
	}
}

// expected gives an upper limit of the samples at WorkingRate, from the size of
// the file and not from its header, which may be wrong; 0 where it is not known.
func (s *Stream) expected() int64 {
	if s.format.frameBytes == 0 {
		return 0
	}
	most := int64(float64(s.o.Limits.Duration) * float64(WorkingRate))
	return min(most, resample.OutputLength(s.bytes/int64(s.format.frameBytes), s.format.rate)) + blockFrames
}

// fill resamples the block that was decoded last and looks at its samples while it decodes
// the next, or sets s.err. The looking costs as much as the rest and is begun first, so that
// two processors are busy. No goroutine outlives it.
func (s *Stream) fill() {
	var filters parallel.Group
	begin := func(work func(l *channelPipeline)) {
		for _, l := range s.pipelines {
			filters.Go(func() error {
				work(l)
				return nil
			})
		}
	}
	for _, l := range s.pipelines {
		l.handOver()
	}
	begin((*channelPipeline).inspect)
	begin((*channelPipeline).filter)
	err := s.next()
	if fault := filters.Wait(); fault != nil {
		s.fail(fault)
		return
	}
	ready := engine.Seconds(float64(s.pipelines[0].made) / float64(WorkingRate))
	if !s.chosen && (s.format.channels == 1 || ready >= s.o.Lookahead) {
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

// next decodes and meters one block; with an error, which may be io.EOF, none.
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
	s.frames += int64(n / s.format.channels)
	if s.o.Tap != nil {
		s.o.Tap(s.block[:n])
	}
	switch most := s.o.Limits.longest(s.format.rate, s.format.channels); {
	case s.duration() > s.o.Limits.Duration:
		return sayTooLong(s.o.Limits.Duration)
	case s.duration() > most:
		return sayTooManySamples(most, s.format.rate, s.format.channels)
	}
	for _, l := range s.pipelines {
		l.meter(s.block[:n], s.format)
	}
	return nil
}

// end gives the error with which the sound ended; io.EOF for a damaged one of
// which there are samples.
func (s *Stream) end() error {
	var p *Problem
	if errors.As(s.ended, &p) && p.Code == CodeDamaged && s.frames > 0 {
		s.info.Remarks = append(s.info.Remarks, remarkDamaged(s.duration()))
		return io.EOF
	}
	return s.ended
}

func (s *Stream) duration() engine.Seconds {
	return engine.Seconds(float64(s.frames) / float64(s.format.rate))
}

// choose drops the channels that are not measured.
func (s *Stream) choose() {
	var remarks []string
	s.pipelines, remarks = choose(s.pipelines, s.frames, s.o)
	s.info.Remarks = append(s.info.Remarks, remarks...)
	used := make([]int, len(s.pipelines))
	for i, l := range s.pipelines {
		used[i] = l.channel
	}
	s.info.Used = sayUsed(used, s.format.channels)
	s.chosen = true
}

// finish completes the sound and Info at the end. It returns io.EOF when all is
// well.
func (s *Stream) finish() error {
	if s.frames == 0 {
		return sayNoSound()
	}
	for _, l := range s.pipelines {
		l.finish(resample.OutputLength(s.frames, s.format.rate))
	}
	if !s.chosen {
		s.choose()
	}
	// The rest of the file has no sound, but its bytes belong to the hash.
	err := s.guard.run(func() error {
		_, err := io.Copy(io.Discard, s.in)
		return err
	})
	if err != nil {
		return err
	}
	return s.conclude()
}

// conclude fills in the parts of Info that need the whole file.
func (s *Stream) conclude() error {
	var clipped, noNumber int64
	var peak float32
	for _, l := range s.pipelines {
		clipped += l.clipped
		noNumber += l.noNumber
		peak = max(peak, l.peak)
	}
	all := float64(s.frames * int64(len(s.pipelines)))
	percent := func(n int64) float64 { return 100 * float64(n) / all } // in this order all of them are 100 to the last bit
	if bad := percent(noNumber); bad > s.o.SpoiltOver {
		return sayDamaged(wrongNumbers(bad))
	}
	s.info.SHA256 = s.src.sum()
	s.info.Codec = s.dec.format().codec // that of ffmpeg is known late
	s.info.Duration = s.duration()
	s.info.ClippedPct = percent(clipped)
	s.info.PeakLevel = float64(peak)
	if !s.o.SamplesOnly {
		s.info.LowEdge, s.info.HighEdge = bandOf(s.pipelines, s.o.Band)
		s.info.Integrity = integrityOf(s.pipelines)
	}
	s.info.Integrity.Contradicts = s.format.contradicts
	s.info.Remarks = append(s.info.Remarks, s.dec.remarks()...)
	if noNumber > 0 {
		s.info.Remarks = append(s.info.Remarks, remarkNoNumbers(noNumber))
	}
	if peak == 0 {
		s.info.Remarks = append(s.info.Remarks, remarkSilent)
	}
	return io.EOF
}

package quality

import (
	"context"
	"math"
	"slices"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/noise"
	"topnote/internal/parallel"
	"topnote/internal/spectrum"
)

// prominence is how far the engine's lines are above what lies between them, and
// how loud the sound is there: one value for each frame.
type prominence struct {
	all                  []float64 // dB
	full, idle           []float64 // dB, of the frames at full throttle and at idle
	fullLevel, idleLevel []float64 // dB, loudness in those frames
}

// alongTrack is what is found in the spectra along the track.
type alongTrack struct {
	prominence
	steady, passing interferer // over the whole clip, and over a while of it
}

// makers is how many goroutines make spectra.
const makers = 2

// assessAlong finds, in spectra along the track, the engine's own lines and lines
// that are not its own. While it works on some spectra, the next are being made.
func assessAlong(ctx context.Context, in Input, index trackIndex, o Options) (alongTrack, error) {
	var framers [makers]*framer
	for i := range framers {
		stft, err := spectrum.NewSTFT(spectrum.STFTOptions{
			Rate: in.Sound.Rate, Length: o.Window, Top: o.Top, Floor: spectrum.DefaultFloor(),
		})
		if err != nil {
			panic(err) // options that contradict each other
		}
		framers[i] = &framer{x: in.Sound.Samples, rate: in.Sound.Rate, index: index, levels: in.Conditions.Levels, stft: stft}
	}
	stft := framers[0].stft
	search := newCombSearch(stft, in.Conditions.Mains, o.Comb)
	var p prominence
	var now, next [makers][]frame
	for from := 0; from < len(in.Conditions.Levels.Engine)+makers*ahead; from += makers * ahead {
		var group parallel.Group
		for i, f := range framers {
			group.Go(func() (err error) {
				next[i], err = f.frames(ctx, next[i][:0], from+i*ahead)
				return err
			})
		}
		for _, v := range slices.Concat(now[:]...) {
			search.add(v.level, v.operatingPoint)
			p.add(v, stft.BinWidth(), o)
		}
		if err := group.Wait(); err != nil {
			return alongTrack{}, err
		}
		now, next = next, now
	}
	steady, passing := search.found()
	return alongTrack{p, steady, passing}, nil
}

// ahead is how many frames each makes at a time: as long as they take, it does not count
// that a goroutine is started for them.
const ahead = 32

// framer makes spectra along the track.
type framer struct {
	x      audio.Signal
	rate   engine.Hz
	index  trackIndex
	levels noise.Levels
	stft   *spectrum.STFT
	buf    []float32
}

// frame is the spectrum at one instant at which a speed was told.
type frame struct {
	operatingPoint
	loudness float64   // dB
	level    []float32 // dB, shape [bins]
}

// frames appends to dst, whose memory it uses again, the next frames from a hop
// on: as many as are made at a time, and as far as there are.
func (f *framer) frames(ctx context.Context, dst []frame, from int) ([]frame, error) {
	for i := from; i < min(from+ahead, len(f.levels.Engine)); i++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		t := f.levels.Middle(i)
		p := f.index.at(t)
		if p.regime == unknown {
			continue
		}
		dst = slices.Grow(dst, 1)[:len(dst)+1]
		v := &dst[len(dst)-1]
		v.operatingPoint, v.loudness = p, f.levels.EngineAt(t)
		v.level = slices.Grow(v.level[:0], f.stft.Bins())[:f.stft.Bins()]
		var at int
		var err error
		if f.buf, at, err = audio.Centered(f.x, f.buf, int(float64(t)*float64(f.rate)), f.stft.Reach()); err != nil {
			return nil, err
		}
		f.stft.ChirpLevels(v.level, f.buf, at, p.slope)
	}
	return dst, nil
}

// add adds one frame.
func (p *prominence) add(v frame, bin engine.Hz, o Options) {
	if v.regime == changing {
		return
	}
	db, ok := combProminence(v.level, bin, v.spacing, o)
	if !ok {
		return
	}
	p.all = append(p.all, db)
	switch v.regime {
	case fullThrottle:
		p.full = append(p.full, db)
		p.fullLevel = append(p.fullLevel, v.loudness)
	case idling:
		p.idle = append(p.idle, db)
		p.idleLevel = append(p.idleLevel, v.loudness)
	}
}

// typical gives the median of some frames, nil where they are too few to count.
func typical(x []float64) *engine.Decibel {
	const least = 5 // frames: a second
	if len(x) < least {
		return nil
	}
	v := engine.Decibel(dsp.Median(x))
	return &v
}

// combProminence gives the mean height of the first lines of a comb over what lies
// between them, in dB; false for lines too close to be resolved.
func combProminence(level []float32, bin, spacing engine.Hz, o Options) (float64, bool) {
	const apart = 5 // bins: the main lobe of the window on either side, and one between
	step := float64(spacing / bin)
	if step < apart {
		return 0, false
	}
	gap := func(j float64) float64 {
		from, to := int(math.Ceil((j-o.GapShare)*step)), int((j+o.GapShare)*step)
		var sum float64
		for _, v := range level[from : to+1] {
			sum += float64(v)
		}
		return sum / float64(to+1-from)
	}
	var sum float64
	n := 0
	for j := 1; j <= o.Lines && int((float64(j)+0.5+o.GapShare)*step) < len(level); j++ {
		sum += float64(peakAround(level, int(math.Round(float64(j)*step)))) - (gap(float64(j)-0.5)+gap(float64(j)+0.5))/2
		n++
	}
	if n == 0 {
		return 0, false
	}
	return sum / float64(n), true
}

// peakAround gives the highest level of a bin and its neighbours.
func peakAround(level []float32, k int) float32 { return max(level[k-1], level[k], level[k+1]) }

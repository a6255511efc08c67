package quality

import (
	"math"
	"slices"
	"sync"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

// prominence is how far the engine stands out, and how loud it is.
type prominence struct {
	all                  []float64 // dB, its lines over what lies between them, at each look
	fast, slow           []float64 // the same at full throttle and at idle
	fastLevel, slowLevel []float64 // dB, loudness at those looks
}

// look looks at the spectrum along the track: for the engine's own lines, and
// for lines that are not its own. While it looks at some spectra, the next are
// being made.
func look(x audio.Signal, rate engine.Hz, w trackIndex, l levels, mains engine.Hz, o Options) (s prominence, always, while interferer, err error) {
	plan, err := spectrum.NewSTFT(spectrum.STFTOptions{
		Rate: rate, Length: o.Window, Size: o.Size, Top: o.Top, Floor: spectrum.DefaultFloor(),
	})
	if err != nil {
		panic(err) // options that contradict each other
	}
	hunt := newCombSearch(plan, mains, o)
	eye := framer{x: x, rate: rate, walk: w, levels: l, plan: plan}
	var now, next []frame
	for from := 0; from < len(l.engine)+ahead; from += ahead {
		var making sync.WaitGroup
		var failed error
		making.Go(func() { next, failed = eye.frames(next[:0], from) })
		for _, v := range now {
			hunt.take(v.level, v.operatingPoint)
			s.take(v, plan.BinWidth(), o)
		}
		making.Wait()
		if failed != nil {
			return prominence{}, interferer{}, interferer{}, failed
		}
		now, next = next, now
	}
	always, while = hunt.found()
	return s, always, while, nil
}

// ahead is how many looks' spectra are made at a time: as long as they take, it
// does not count that a goroutine is started for them.
const ahead = 64

// framer makes spectra along the track.
type framer struct {
	x      audio.Signal
	rate   engine.Hz
	walk   trackIndex
	levels levels
	plan   *spectrum.STFT
	near   []float32
}

// frame is what is seen at one look at which the engine is heard.
type frame struct {
	operatingPoint
	loud  float64   // dB
	level []float32 // by bin
}

// frames appends to dst, whose memory it uses again, what is seen at the looks from
// one on: of those that are made at a time, and as far as there are.
func (e *framer) frames(dst []frame, from int) ([]frame, error) {
	for i := from; i < min(from+ahead, len(e.levels.engine)); i++ {
		t := e.levels.time(i)
		m := e.walk.at(t)
		if m.pace == unheard {
			continue
		}
		dst = slices.Grow(dst, 1)[:len(dst)+1]
		v := &dst[len(dst)-1]
		v.operatingPoint, v.loud = m, e.levels.at(t)
		v.level = slices.Grow(v.level[:0], e.plan.Bins())[:e.plan.Bins()]
		var at int
		var err error
		if e.near, at, err = audio.Centered(e.x, e.near, int(t*float64(e.rate)), e.plan.Reach()); err != nil {
			return nil, err
		}
		e.plan.ChirpLevels(v.level, e.near, at, m.slope)
	}
	return dst, nil
}

// take takes in how far the engine's lines stand out at one look.
func (s *prominence) take(v frame, bin engine.Hz, o Options) {
	if v.pace == changing {
		return
	}
	clear, ok := clearness(v.level, bin, v.spacing, o)
	if !ok {
		return
	}
	s.all = append(s.all, clear)
	switch v.pace {
	case fast:
		s.fast = append(s.fast, clear)
		s.fastLevel = append(s.fastLevel, v.loud)
	case slow:
		s.slow = append(s.slow, clear)
		s.slowLevel = append(s.slowLevel, v.loud)
	}
}

// snr gives the usual height of the lines over what lies between them, nil
// where too few looks tell it.
func (s prominence) snr() *engine.Decibel { return s.usual(s.all) }

func (s prominence) usual(x []float64) *engine.Decibel {
	const least = 5 // looks: a second
	if len(x) < least {
		return nil
	}
	v := engine.Decibel(median(append([]float64{}, x...)))
	return &v
}

// clearness gives the mean height of the first lines of a comb over what lies
// between them, in dB; not for lines too close to be told apart.
func clearness(level []float32, bin, spacing engine.Hz, o Options) (float64, bool) {
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
	for j := 1; j <= o.ClearLines && int((float64(j)+0.5+o.GapShare)*step) < len(level); j++ {
		sum += float64(around(level, int(math.Round(float64(j)*step)))) - (gap(float64(j)-0.5)+gap(float64(j)+0.5))/2
		n++
	}
	if n == 0 {
		return 0, false
	}
	return sum / float64(n), true
}

// around gives the highest level of a bin and its neighbours.
func around(level []float32, k int) float32 { return max(level[k-1], level[k], level[k+1]) }

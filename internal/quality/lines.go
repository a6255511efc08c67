package quality

import (
	"math"

	"topnote/internal/sound"
	"topnote/internal/spectrum"
	"topnote/internal/unit"
)

// stands is how far the engine stands out, and how loud it is.
type stands struct {
	all                  []float64 // dB, its lines over what lies between them, at each look
	fast, slow           []float64 // the same at full throttle and at idle
	fastLevel, slowLevel []float64 // dB, loudness at those looks
}

// look looks at the spectrum along the track: for the engine's own lines, and
// for lines that are not its own.
func look(x sound.Mono, rate unit.Hz, w walk, l levels, mains unit.Hz, o Options) (s stands, always, while rival) {
	plan, err := spectrum.NewPlan(spectrum.PlanOptions{
		Rate: rate, Length: o.Window, Size: o.Size, Top: o.Top, Floor: spectrum.DefaultFloor(),
	})
	if err != nil {
		panic(err) // options that contradict each other
	}
	hunt := newHunt(plan, mains, o)
	level := make([]float32, plan.Bins())
	var near []float32
	for i := range l.engine {
		t := l.time(i)
		m := w.at(t)
		if m.pace == unheard {
			continue
		}
		var at int
		near, at = sound.Around(x, near, int(t*float64(rate)), plan.Reach())
		plan.Warped(level, near, at, m.slope)
		hunt.take(level, m)
		if m.pace == changing {
			continue
		}
		clear, ok := clearness(level, plan.BinWidth(), m.spacing, o)
		if !ok {
			continue
		}
		s.all = append(s.all, clear)
		switch m.pace {
		case fast:
			s.fast = append(s.fast, clear)
			s.fastLevel = append(s.fastLevel, l.at(t))
		case slow:
			s.slow = append(s.slow, clear)
			s.slowLevel = append(s.slowLevel, l.at(t))
		}
	}
	always, while = hunt.found()
	return s, always, while
}

// snr gives the usual height of the lines over what lies between them, nil
// where too few looks tell it.
func (s stands) snr() *unit.Decibel { return s.usual(s.all) }

func (s stands) usual(x []float64) *unit.Decibel {
	const least = 5 // looks: a second
	if len(x) < least {
		return nil
	}
	v := unit.Decibel(median(append([]float64{}, x...)))
	return &v
}

// clearness gives the mean height of the first lines of a comb over what lies
// between them, in dB; not for lines too close to be told apart.
func clearness(level []float32, bin, spacing unit.Hz, o Options) (float64, bool) {
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

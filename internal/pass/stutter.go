package pass

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// Stutter is the sign of a coil that limits speed: it leaves out sparks in
// regular bursts at a ceiling, so that the speed is pinned there. It sounds
// like four-stroking and says nothing about the mixture.
type Stutter struct {
	Belief float64   // 0 to 1
	Rate   engine.Hz // of the bursts; 0: not told
	Depth  float64   // 0 to 1: by how much the firing weakens in a burst; 0: not told
	Width  float64   // of speed: width of the middle 80 % of the readings
}

// SparkCutEvidence is what a look at the sound itself says about cut-outs in a stretch.
type SparkCutEvidence struct {
	Belief float64   // 0 to 1: that sparks are left out in regular bursts
	Rate   engine.Hz // bursts per second; slower than every 4th firing, so that it is not four-stroking
	Depth  float64   // 0 to 1: by how much the strength of the firing falls in a burst
}

// Listener looks for regular bursts of cut-outs between two times of the clip
// that the track was read from. The strength of the firing is to be taken cycle
// by cycle; four-stroking repeats within four cycles, a cut-out takes more.
type Listener func(from, to engine.Seconds) SparkCutEvidence

// limiterSpan gives the stretch in which to look for a stutter: the longest of a
// plateau at full speed or, where a light load takes a little off it for a part
// of that, the longest at the very speed that was held.
func (m *measurer) limiterSpan(r span, held engine.RPM) span {
	above := func(band float64) span {
		least := engine.RPM(1-band) * held
		return m.longest(r, func(p shaft.Point) bool { return p.Speed >= least })
	}
	full := above(m.opt.FullBand)
	if m.relativeWidth(full) <= m.opt.LimiterBand {
		return full
	}
	if part := above(m.opt.LimiterBand); m.length(part) >= m.opt.StutterPart {
		return part
	}
	return full
}

// relativeWidth gives the width of the middle 80 % of the readings of a span, as a
// share of their median; all of it for none.
func (m *measurer) relativeWidth(r span) float64 {
	x := dsp.Sorted(m.told(r))
	if len(x) == 0 {
		return 1
	}
	return (dsp.Quantile(x, 0.9) - dsp.Quantile(x, 0.1)) / dsp.Quantile(x, 0.5)
}

// stutter weighs the signs of a limiting coil over a stretch at full speed: it
// is pinned, and there are regular bursts, heard by the Listener or, where
// there is none, seen as firing that is lost and found again at even intervals:
// a firing at the edge flickers like that, too. It returns nil where there is
// nothing like it.
func (m *measurer) stutter(r span) *Stutter {
	width := m.relativeWidth(r)
	if m.length(r) < m.opt.MinStutter || width > m.opt.LimiterBand {
		return nil
	}
	if m.opt.Listen != nil {
		b := m.opt.Listen(m.at(r.a), m.at(r.b))
		if b.Belief > 0 && b.Depth >= m.opt.MinBurstDepth && b.Rate >= m.opt.MinBurstRate && b.Rate <= m.opt.MaxBurstRate {
			return &Stutter{Belief: b.Belief, Rate: b.Rate, Depth: b.Depth, Width: width}
		}
	} else if rate := m.dropoutRate(r); rate > 0 {
		return &Stutter{Belief: m.opt.StutterSeen, Rate: rate, Width: width}
	}
	if m.firing(r).toldShare() < 1-m.opt.StutterUnsure {
		return &Stutter{Belief: m.opt.StutterUnsure, Width: width}
	}
	return nil
}

// dropoutRate gives how often clean firing is lost, where that happens at even
// intervals; 0 where it does not.
func (m *measurer) dropoutRate(r span) engine.Hz {
	var gaps []float64
	last, clean := -1, false
	for i := r.a; i < r.b; i++ {
		if !m.points[i].Speed.Told() {
			continue
		}
		was := clean
		clean = m.points[i].Fires == 1
		if !was || clean {
			continue
		}
		if last >= 0 {
			gaps = append(gaps, float64(m.at(i)-m.at(last)))
		}
		last = i
	}
	if len(gaps) < m.opt.MinBursts {
		return 0
	}
	period := dsp.Median(gaps)
	var off float64
	for _, g := range gaps {
		off += sq(g - period)
	}
	uneven := math.Sqrt(off/float64(len(gaps))) / period
	if rate := engine.Hz(1 / period); uneven <= m.opt.MaxUnevenness && rate >= m.opt.MinBurstRate && rate <= m.opt.MaxSeenRate {
		return rate
	}
	return 0
}

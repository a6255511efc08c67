package pass

import (
	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// Stutter is the sign of a coil that limits speed: it cuts sparks in
// regular bursts at a ceiling, so that the speed is pinned there. It sounds
// like four-stroking and says nothing about the mixture.
type Stutter struct {
	Belief float64   // 0 to 1
	Rate   engine.Hz // of the bursts; 0: not told
	Depth  float64   // 0 to 1: by how much the firing weakens in a burst; 0: not told
	Width  float64   // of speed: width of the middle 80 % of the readings
}

// limiterSpan gives the span in which a stutter is looked for: the longest of a
// plateau at full speed or, where a light load takes a little off it for a part
// of that, the longest at the very speed that was held.
func (m *measurer) limiterSpan(r span, held engine.RPM) span {
	above := func(band float64) span {
		least := engine.RPM(1-band) * held
		return m.longest(r, func(p shaft.Point) bool { return p.Speed >= least })
	}
	full := above(m.opt.FullBand)
	if m.relativeWidth(full) <= m.opt.HeldBand {
		return full
	}
	if part := above(m.opt.HeldBand); m.length(part) >= 1/engine.Seconds(m.opt.MinBurstRate) {
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

// stutter weighs the signs of a limiting coil over a span at full speed: the speed
// is pinned, and sparks are lost in regular bursts. It returns nil where there is
// nothing like it.
func (m *measurer) stutter(r span) *Stutter {
	width := m.relativeWidth(r)
	if m.length(r) < 1/engine.Seconds(m.opt.MinBurstRate) || width > m.opt.HeldBand {
		return nil
	}
	e := m.sparkCuts(m.at(r.a), m.at(r.b))
	if e.Belief > 0 && e.Depth >= m.opt.MinBurstDepth && e.Rate >= m.opt.MinBurstRate && e.Rate <= m.opt.MaxBurstRate {
		return &Stutter{Belief: e.Belief, Rate: e.Rate, Depth: e.Depth, Width: width}
	}
	if m.firingOf(r).toldShare() < 1-m.opt.StutterUnsure {
		return &Stutter{Belief: m.opt.StutterUnsure, Width: width}
	}
	return nil
}

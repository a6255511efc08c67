package pass

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// RiseFigures is what was measured of the quickest rise from idle to the top:
// a slow hand can only make a rise slower.
type RiseFigures struct {
	From, To     engine.Seconds
	Time         Duration   // from leaving idle to Options.TopShare of the top
	Idle, Top    engine.RPM // between which it rose
	FourStroking float64    // 0 to 1: share of the told firing that four-strokes: a burbling rise

	// Sag is how far the speed fell back on opening, below idle or during the
	// climb, the deepest of all rises in the clip; 0: none.
	Sag   Figure
	SagAt engine.Seconds
}

// rise measures the rises, nil where there is none from an idle to the top.
func (m *measurer) rise() *RiseFigures {
	var quickest *RiseFigures
	var sag Figure
	var sagAt engine.Seconds
	for i, x := range m.segments {
		if x.kind != Rise || i == 0 || !m.segments[i-1].isSlow() || i+1 == len(m.segments) {
			continue
		}
		next := m.segments[i+1]
		if next.kind != FullThrottle && next.kind != PartThrottle {
			continue
		}
		f := m.measureRise(m.segments[i-1].span, x.span, next.span)
		if f.Sag.Speed > sag.Speed {
			sag, sagAt = f.Sag, f.SagAt
		}
		if next.kind == FullThrottle && (quickest == nil || f.Time.Time < quickest.Time.Time) {
			quickest = &f
		}
	}
	if quickest != nil {
		quickest.Sag, quickest.SagAt = sag, sagAt
	}
	return quickest
}

func (m *measurer) measureRise(idle, r, top span) RiseFigures {
	f := RiseFigures{
		To:   m.at(r.b),
		Idle: engine.RPM(m.idleBefore(idle)), Top: engine.RPM(m.level(top)),
		FourStroking: m.firingOf(r).fourStroking(),
	}
	end := r.a
	for end < top.b && m.smooth[end] < m.opt.TopShare*float64(f.Top) {
		end++
	}
	var deepest int
	f.Sag, deepest = m.sag(idle, span{r.a, end}, float64(f.Idle))
	from := r.a
	if f.Sag.Speed > 0 {
		f.SagAt = m.at(deepest)
		// The rise begins with the sag: that is when the throttle was opened.
		for from = min(r.a, deepest); from > idle.a && m.smooth[from-1] < (1-m.opt.LeaveShare)*float64(f.Idle); {
			from--
		}
	}
	f.From = m.at(from)
	f.Time = m.duration(from, end)
	return f
}

// idleBefore gives the speed of an idle over the MinIdle before the throttle is
// opened, which is about one period of a hunting idle.
func (m *measurer) idleBefore(idle span) float64 {
	idle = m.beforeOpening(idle)
	return m.level(span{max(idle.a, idle.b-m.count(m.opt.MinIdle)), idle.b})
}

// sag gives the deepest fall on opening, below the idle shortly before the rise
// or below a speed already reached during it, and the point of it. It is read
// from the smooth speed, so a sag as short as the smoothing is understated; its
// standard deviation says by how much.
func (m *measurer) sag(idle, r span, base float64) (Figure, int) {
	reached, deepest, at := base, 0.0, r.a
	from := max(idle.a, r.a-m.count(m.opt.SettleFor))
	for i := from; i < r.b; i++ {
		if i >= r.a {
			reached = math.Max(reached, m.smooth[i])
		}
		if d := reached - m.smooth[i]; d > deepest {
			deepest, at = d, i
		}
	}
	// An idle that always wanders by as much has not sagged on opening.
	const usualShare = 0.02
	usual := base - dsp.Quantile(dsp.Sorted(m.told(m.beforeOpening(idle))), usualShare)
	if deepest <= usual+2*m.opt.SettledBand*base {
		return Figure{}, r.a
	}
	// How much smoothing took off the bottom of it is not known for sure.
	half := m.count(m.opt.SmoothFor) / 2
	around := m.told(span{max(0, at-half), min(len(m.points), at+half+1)})
	hidden := m.smooth[at] - dsp.Quantile(dsp.Sorted(around), 0)
	return Figure{engine.RPM(deepest), engine.RPM(math.Hypot(math.Sqrt2*m.ownSD(span{from, r.b}), hidden))}, at
}

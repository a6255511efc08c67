package pass

import (
	"topnote/internal/engine"
)

// CutFigures is what was measured of the longest time in the cut.
type CutFigures struct {
	From, To       engine.Seconds
	Speed          Figure    // median
	Pulled         float64   // 0 to 1: how far below the top without load, as a share of it
	FourStroking   float64   // 0 to 1: share of the cut that four-strokes
	FourStrokingSD float64   // its standard deviation
	Clean          float64   // 0 to 1: share of the cut that fires every time
	Recovery       *Duration // time from the cut to Options.BackShare of the top after it; nil: there is none
}

// Mixture gives the share of four-stroking among the points whose firing was
// told, and the share of points for which it was.
func (c *CutFigures) Mixture() (fourStroking, told float64) {
	told = c.FourStroking + c.Clean
	if told == 0 {
		return 0, 0
	}
	return c.FourStroking / told, told
}

// cut measures the longest time in the cut, nil where there is none.
func (m *measurer) cut() *CutFigures {
	longest := -1
	for i, x := range m.segments {
		if x.kind == InCut && (longest < 0 || x.b-x.a > m.segments[longest].b-m.segments[longest].a) {
			longest = i
		}
	}
	if longest < 0 {
		return nil
	}
	x := m.segments[longest]
	inside := m.withoutRamps(x.span)
	f := m.firingOf(inside)
	c := &CutFigures{
		From: m.at(x.a), To: m.at(x.b), Speed: m.levelOf(inside),
		Clean: ratio(f[1], f.all()),
	}
	c.FourStroking, c.FourStrokingSD = m.fourStrokingOfAll(f)
	var top float64
	if longest > 0 {
		top = m.level(m.segments[longest-1].span)
	}
	if longest+1 < len(m.segments) && m.segments[longest+1].kind == FullThrottle {
		after := m.segments[longest+1].span
		top = max(top, m.level(after))
		c.Recovery = m.recovery(inside, after, float64(c.Speed.Speed))
	}
	if top > 0 {
		c.Pulled = max(0, 1-float64(c.Speed.Speed)/top)
	}
	return c
}

// withoutRamps leaves out the way into a cut and out of it.
func (m *measurer) withoutRamps(r span) span {
	level := m.level(r) / m.opt.BackShare
	a, b := r.a, r.b
	for a < b && m.smooth[a] > level {
		a++
	}
	for b > a && m.smooth[b-1] > level {
		b--
	}
	return span{a, b}
}

// recovery gives the time from the last point at the level of the cut, or
// hardly above it, to the first that is back at the top.
func (m *measurer) recovery(cut, after span, level float64) *Duration {
	top := m.level(after)
	leave := level + m.opt.LeaveShare*(top-level)
	from := cut.b
	for from > cut.a && m.smooth[from-1] > leave {
		from--
	}
	for i := after.a; i < after.b; i++ {
		if m.smooth[i] >= m.opt.BackShare*top {
			l := m.duration(from, i)
			return &l
		}
	}
	return nil
}

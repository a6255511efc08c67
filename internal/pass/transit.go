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

// rise measures the rises, nil where none from an idle to the top was heard.
func (m *measurer) rise() *RiseFigures {
	var quickest *RiseFigures
	var sag Figure
	var sagAt engine.Seconds
	for i, x := range m.stretches {
		if x.kind != Rise || i == 0 || !m.stretches[i-1].isSlow() || i+1 == len(m.stretches) {
			continue
		}
		next := m.stretches[i+1]
		if next.kind != FullThrottle && next.kind != PartThrottle {
			continue
		}
		f := m.oneRise(m.stretches[i-1].span, x.span, next.span)
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

func (m *measurer) oneRise(idle, r, top span) RiseFigures {
	f := RiseFigures{
		To:   m.at(r.b),
		Idle: engine.RPM(m.idleBefore(idle)), Top: engine.RPM(m.level(top)),
		FourStroking: m.firing(r).fourStroking(),
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

// idleBefore gives the speed of an idle shortly before the throttle is opened:
// a swing of a hunting idle lasts about as long as it looks back.
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
	from := max(idle.a, r.a-m.count(m.opt.RiseBefore))
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
	if deepest <= usual+m.opt.SagDepth*base {
		return Figure{}, r.a
	}
	// What smoothing took off the bottom of it, nobody knows for sure.
	half := m.count(m.opt.SmoothFor) / 2
	around := m.told(span{max(0, at-half), min(len(m.points), at+half+1)})
	hidden := m.smooth[at] - dsp.Quantile(dsp.Sorted(around), 0)
	return Figure{engine.RPM(deepest), engine.RPM(math.Hypot(math.Sqrt2*m.ownSD(span{from, r.b}), hidden))}, at
}

// FallFigures is what was measured of the fall from the top to idle that took
// longest to settle.
type FallFigures struct {
	From, To engine.Seconds // To: back at idle, or where it was last heard
	Time     Duration       // from Options.TopShare of the speed before it until back at idle
	Back     bool           // it was heard back at the settled idle
	Idle     engine.RPM     // the settled idle of the clip that it is held against
	Last     engine.RPM     // speed at To

	// HangFor is the time for which the speed stood above idle, near it yet
	// not back, and HangAt its median there; 0 for none.
	HangFor Duration
	HangAt  engine.RPM
}

// fall measures the falls, nil where none from the top was heard or no idle to
// hold it against.
func (m *measurer) fall() *FallFigures {
	idle := m.settled(m.stretches, m.opt.HeldFor)
	if idle == 0 {
		return nil
	}
	var longest *FallFigures
	for i, x := range m.stretches {
		if x.kind != Fall || i == 0 || i+1 == len(m.stretches) {
			continue
		}
		before, after := m.stretches[i-1], m.stretches[i+1]
		if (before.kind != FullThrottle && before.kind != InCut) || !after.isSlow() {
			continue
		}
		f := m.oneFall(before.span, span{x.a, after.b}, idle)
		if longest == nil || f.HangFor.Time > longest.HangFor.Time ||
			(f.HangFor.Time == longest.HangFor.Time && f.Time.Time > longest.Time.Time) {
			longest = &f
		}
	}
	return longest
}

// oneFall measures a fall; r is the fall with the slow stretch after it.
func (m *measurer) oneFall(top, r span, idle float64) FallFigures {
	last := span{max(top.a, top.b-m.count(m.opt.SettleFor)), top.b}
	leave := m.opt.TopShare * m.level(last)
	from := r.a
	for from > top.a && m.smooth[from] < leave {
		from--
	}
	near, back := r.b, r.b
	for i := r.b - 1; i >= r.a; i-- {
		if m.smooth[i] > m.opt.HangFrom*idle {
			break
		}
		near = i
	}
	for i := near; i < r.b; i++ {
		if m.smooth[i] <= m.opt.NearIdle*idle {
			back = i
			break
		}
	}
	f := FallFigures{
		From: m.at(from), To: m.at(back), Time: m.duration(from, back),
		Back: back < r.b, Idle: engine.RPM(idle), Last: engine.RPM(m.smooth[min(back, r.b-1)]),
	}
	if near < back {
		f.HangFor = m.duration(near, back)
		f.HangAt = engine.RPM(m.level(span{near, back}))
	}
	return f
}

// CutFigures is what was measured of the longest stretch in the cut.
type CutFigures struct {
	From, To       engine.Seconds
	Speed          Figure    // median
	Pulled         float64   // 0 to 1: how far below the top without load, as a share of it
	FourStroking   float64   // 0 to 1: share of the cut that four-strokes
	FourStrokingSD float64   // its standard deviation
	Clean          float64   // 0 to 1: share of the cut that fires every time
	Back           *Duration // time from the cut to Options.BackShare of the top after it; nil: not heard
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

// cut measures the longest stretch in the cut, nil where there is none.
func (m *measurer) cut() *CutFigures {
	longest := -1
	for i, x := range m.stretches {
		if x.kind == InCut && (longest < 0 || x.b-x.a > m.stretches[longest].b-m.stretches[longest].a) {
			longest = i
		}
	}
	if longest < 0 {
		return nil
	}
	x := m.stretches[longest]
	inside := m.insideOf(x.span)
	f := m.firing(inside)
	c := &CutFigures{
		From: m.at(x.a), To: m.at(x.b), Speed: m.levelOf(inside),
		Clean: share(f[1], f.all()),
	}
	c.FourStroking, c.FourStrokingSD = m.fourStrokingOfAll(f)
	var top float64
	if longest > 0 {
		top = m.level(m.stretches[longest-1].span)
	}
	if longest+1 < len(m.stretches) && m.stretches[longest+1].kind == FullThrottle {
		after := m.stretches[longest+1].span
		top = max(top, m.level(after))
		c.Back = m.comeBack(inside, after, float64(c.Speed.Speed))
	}
	if top > 0 {
		c.Pulled = max(0, 1-float64(c.Speed.Speed)/top)
	}
	return c
}

// insideOf leaves out the way into a cut and out of it.
func (m *measurer) insideOf(r span) span {
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

// comeBack gives the time from the last point at the level of the cut, or
// hardly above it, to the first that is back at the top.
func (m *measurer) comeBack(cut, after span, level float64) *Duration {
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

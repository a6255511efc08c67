package pass

import (
	"topnote/internal/engine"
)

// FallFigures is what was measured of the fall from the top to idle that took
// longest to settle.
type FallFigures struct {
	From, To engine.Seconds // To: back at idle, or the last point of it
	Time     Duration       // from Options.TopShare of the speed before it until back at idle
	Back     bool           // it came back to the settled idle
	Idle     engine.RPM     // the settled idle of the clip
	Last     engine.RPM     // speed at To

	// HangFor is the time for which the speed stayed above idle, near it yet
	// not back, and HangSpeed its median there; 0 for none.
	HangFor   Duration
	HangSpeed engine.RPM
}

// fall measures the falls, nil where there is none from the top, or no idle to
// compare it with.
func (m *measurer) fall() *FallFigures {
	idle := m.lowestIdle(m.segments, m.opt.HeldFor)
	if idle == 0 {
		return nil
	}
	var longest *FallFigures
	for i, x := range m.segments {
		if x.kind != Fall || i == 0 || i+1 == len(m.segments) {
			continue
		}
		before, after := m.segments[i-1], m.segments[i+1]
		if (before.kind != FullThrottle && before.kind != InCut) || !after.isSlow() {
			continue
		}
		f := m.measureFall(before.span, span{x.a, after.b}, idle)
		if longest == nil || f.HangFor.Time > longest.HangFor.Time ||
			(f.HangFor.Time == longest.HangFor.Time && f.Time.Time > longest.Time.Time) {
			longest = &f
		}
	}
	return longest
}

// measureFall measures a fall; r is the fall with the slow span after it.
func (m *measurer) measureFall(top, r span, idle float64) FallFigures {
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
		f.HangSpeed = engine.RPM(m.level(span{near, back}))
	}
	return f
}

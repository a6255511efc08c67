package pass

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// IdleFigures is what was measured of the longest settled idle; one that is well
// above another of the clip is not settled.
type IdleFigures struct {
	From, To engine.Seconds
	Speed    Figure     // median
	Spread   engine.RPM // half of the width that holds nine readings in ten
	SpreadSD engine.RPM
	Hunting  *Oscillation // its period in all settled idles; nil: none
	Drift    *Rate        // nil: too short

	// Highest is the highest speed held for Options.HeldFor in any settled
	// idle of the clip: what the clutch sees.
	Highest Figure

	AboveEntered engine.RPM // median over the idle speed entered, below 0 for under it; 0 where none was entered
	UnderClutch  *Figure    // clutch engagement speed entered, less Highest; below 0: the chain is driven; nil where none was entered
	ClutchRatio  float64    // clutch engagement speed entered over the median; 0 where none was entered
}

// idle measures the idle, nil where none lasted for MinIdle.
func (m *measurer) idle() *IdleFigures {
	var longest span
	var others []span // settled, too
	var highest sustained
	most := m.lowestIdle(m.segments, m.opt.HeldFor) * (1 + m.opt.IdleBand)
	for i, x := range m.segments {
		if !x.isSlow() {
			continue
		}
		idling := x.span
		if i+1 < len(m.segments) && m.segments[i+1].kind == Rise {
			idling = m.beforeOpening(idling)
		}
		r := m.settledPart(idling)
		if m.length(r) < m.opt.MinIdle || len(m.told(r)) == 0 {
			continue
		}
		if w, _ := fastestHeld(m.held.long, m.held.longPoints, r, m.opt); w.speed > highest.speed {
			highest = w
		}
		if m.settledLevel(r) <= most {
			if r.b-r.a > longest.b-longest.a {
				r, longest = longest, r
			}
			if r.b > r.a {
				others = append(others, r)
			}
		}
	}
	if longest.a == longest.b {
		return nil
	}
	f := &IdleFigures{
		From: m.at(longest.a), To: m.at(longest.b),
		Speed: m.levelOf(longest), Highest: highest.figure(),
		Hunting: m.oscillation(longest, others...), Drift: m.drift(longest),
	}
	if highest.speed == 0 {
		f.Highest = f.Speed
	}
	x := dsp.Sorted(m.told(longest))
	f.Spread = engine.RPM(dsp.Quantile(x, 0.95)-dsp.Quantile(x, 0.05)) / 2
	f.SpreadSD = m.spreadSD(f.Spread, longest)
	m.margins(f)
	return f
}

// spreadSD gives the standard deviation of a spread: that of the width of a
// normal distribution, by the number of independent readings, one every
// CorrelatedFor, and what the readings claim.
//
// Source: the relative standard deviation of a standard deviation of n values
// is 1/sqrt(2n) (any textbook).
func (m *measurer) spreadSD(spread engine.RPM, r span) engine.RPM {
	apart := max(1, float64(m.length(r)/m.opt.CorrelatedFor))
	return engine.RPM(math.Hypot(float64(spread)/math.Sqrt(2*apart), m.ownSD(r)))
}

// beforeOpening leaves out the end of a slow span, where the throttle may be
// open already and the speed not yet up; of a short one less.
func (m *measurer) beforeOpening(r span) span {
	end := max(r.b-m.count(m.opt.RiseBefore), r.a+m.count(m.opt.MinIdle))
	return span{r.a, min(r.b, end)}
}

// margins compares an idle with the speeds that the user entered.
func (m *measurer) margins(f *IdleFigures) {
	l := m.machine.Limits
	if l.Idle.Told() {
		f.AboveEntered = f.Speed.Speed - l.Idle
	}
	if l.Clutch.Told() {
		f.UnderClutch = &Figure{l.Clutch - f.Highest.Speed, f.Highest.SD}
		f.ClutchRatio = float64(l.Clutch / f.Speed.Speed)
	}
}

// settledPart gives the longest part of a slow span that keeps to within
// IdleBand of its settled speed, from where it first comes near it: without
// blips of the throttle and without the time for which it hangs.
func (m *measurer) settledPart(r span) span {
	base := m.settledLevel(r)
	for r.a < r.b && m.smooth[r.a] > m.opt.NearIdle*base {
		r.a++
	}
	var longest span
	for _, x := range m.spansWhere(r, func(i int) bool {
		return math.Abs(m.smooth[i]-base) <= m.opt.IdleBand*base
	}) {
		if x.b-x.a > longest.b-longest.a {
			longest = x
		}
	}
	return longest
}

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
	After    bool       // of a return to idle; false: the throttle was not let go before it
	Settling bool       // it was still falling towards its settled speed: no other was heard for Options.MinIdle
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

// idleSpan is an idle as a span of points.
type idleSpan struct {
	span          // without the time for which it hangs and, where it settles, without that for which it still falls
	after    bool // of a return to idle
	settling bool // still falling when it ends
}

// betterThan reports whether one idle tells more of the idle speed than another: one
// that has settled, then the longer one.
func (x idleSpan) betterThan(y idleSpan) bool {
	if y.a == y.b || x.settling != y.settling {
		return y.a == y.b || y.settling
	}
	return x.b-x.a > y.b-y.a
}

// idle measures the idle, nil where none lasted for MinIdle.
func (m *measurer) idle() *IdleFigures {
	var best idleSpan
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
		if m.settledLevel(r) > most {
			continue
		}
		this := m.withoutSettling(r)
		this.after = x.kind == ReturnToIdle
		if this.betterThan(best) {
			this, best = best, this
		}
		if this.b > this.a {
			others = append(others, this.span)
		}
	}
	if best.a == best.b {
		return nil
	}
	return m.measureIdle(best, highest, others)
}

// withoutSettling leaves out the beginning of an idle, in which the speed still falls
// to within SettledBand of what it has at the end. Where it falls for so long that
// less than MinIdle is left, it has not settled, and the last MinIdle counts.
func (m *measurer) withoutSettling(r span) idleSpan {
	end := m.level(span{max(r.a, r.b-m.count(m.opt.HeldFor)), r.b})
	out := r
	for out.a < out.b && m.smooth[out.a] > (1+m.opt.SettledBand)*end {
		out.a++
	}
	if m.length(out) < m.opt.MinIdle {
		return idleSpan{span: span{max(r.a, r.b-m.count(m.opt.MinIdle)), r.b}, settling: true}
	}
	return idleSpan{span: out}
}

// measureIdle measures an idle. highest is the highest speed that was held in any
// idle of the clip, others are those that have settled beside this one.
func (m *measurer) measureIdle(x idleSpan, highest sustained, others []span) *IdleFigures {
	f := &IdleFigures{
		From: m.at(x.a), To: m.at(x.b), After: x.after, Settling: x.settling,
		Speed: m.levelOf(x.span), Highest: highest.figure(),
		Hunting: m.oscillation(x.span, others...), Drift: m.drift(x.span),
	}
	if highest.speed == 0 {
		f.Highest = f.Speed
	}
	if x.settling {
		f.Speed = m.settlingSpeed(x.span)
	}
	readings := dsp.Sorted(m.told(x.span))
	f.Spread = engine.RPM(dsp.Quantile(readings, 0.95)-dsp.Quantile(readings, 0.05)) / 2
	f.SpreadSD = m.spreadSD(f.Spread, x.span)
	m.margins(f)
	return f
}

// settlingSpeed gives the speed at the end of an idle that still falls. It can fall by
// as much again as it did within the second half of the time, since a speed that
// settles does so ever more slowly.
func (m *measurer) settlingSpeed(r span) Figure {
	middle := (r.a + r.b) / 2
	f := m.levelOf(span{middle, r.b})
	falls := m.level(span{r.a, middle}) - float64(f.Speed)
	f.SD = engine.RPM(math.Hypot(float64(f.SD), max(0, falls)))
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
	end := max(r.b-m.count(m.opt.SettleFor), r.a+m.count(m.opt.MinIdle))
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

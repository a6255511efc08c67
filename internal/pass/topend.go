package pass

import (
	"cmp"
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// TopEnd is what was measured over one plateau: full throttle without load.
type TopEnd struct {
	Sustained        Figure         // highest speed held for Options.HeldFor: see below
	HeldFrom, HeldTo engine.Seconds // where it was held
	Brief            Figure         // highest speed held for Options.BriefFor by readings that are not doubted; 0: none
	Peak             Figure         // highest single reading
	Doubted          bool           // more likely misread than not: the speed leaps up to it or down from it as no shaft does, or its readings have little confidence
	From, To         engine.Seconds // of the plateau

	// The firing, over the part of the plateau that is settled and no more
	// than LoadBand slower than Sustained: a light load, which also cleans the
	// firing, and the way out of a cut do not count.
	FourStroking   float64        // 0 to 1: share that four-strokes
	FourStrokingSD float64        // its standard deviation
	Clean          float64        // 0 to 1: share that fires every time
	Uneven         float64        // 0 to 1: share of which only that is told: it misses firings in no pattern
	MostlyFour     float64        // 0 to 1: probability that it four-strokes for most of it; 0 of other engines than a two-stroke single
	FiringFor      engine.Seconds // time for which the firing was told
	Firing         [5]float64     // 0 to 1: share that fires every Nth cycle; element 0: not told

	// The longest time without a missed firing at full speed. A load, which also
	// cleans the firing, lowers the speed.
	CleanFrom, CleanTo engine.Seconds

	ToldShare   float64        // 0 to 1: share of the plateau with a speed
	UnloadedFor engine.Seconds // for which a speed was told that is no more than LoadBand slower than Sustained
	Confidence  float64        // 0 to 1: mean confidence of the readings

	Overshoot    Figure        // highest speed held for BriefFor just after opening, over the settled one; 0: none
	Drift        *Rate         // once settled; nil: too short
	Surge        *Oscillation  // nil: none
	Stutter      *Stutter      // nil: nothing like it
	Alternatives []Alternative // of Sustained, most probable first
}

// Mixture gives the share of four-stroking among the points whose firing was
// told, and the share of points for which it was.
func (t *TopEnd) Mixture() (fourStroking, told float64) {
	told = t.FourStroking + t.Clean
	if told == 0 {
		return 0, 0
	}
	return t.FourStroking / told, told
}

// CleanFor gives the length of the longest clean part.
func (t *TopEnd) CleanFor() engine.Seconds { return t.CleanTo - t.CleanFrom }

// plateaus gives every full throttle. Where the highest speed of
// the clip was held outside all of them, and is too fast for an idle, its
// window counts as one more: the fastest half second is never left out.
func (m *measurer) plateaus() []span {
	var spans []span
	for _, x := range m.segments {
		if x.kind == FullThrottle {
			spans = append(spans, x.span)
		}
	}
	top, at := fastestHeld(m.held.long, m.held.longPoints, span{0, len(m.points)}, m.opt)
	window := span{at, at + m.held.longPoints}
	apart := !slices.ContainsFunc(spans, func(x span) bool { return x.a < window.b && window.a < x.b })
	if apart && top.speed >= float64(floorOf(m.machine.Spec, m.opt)) {
		spans = append(spans, window)
	}
	slices.SortFunc(spans, func(x, y span) int { return cmp.Compare(x.a, y.a) })
	return spans
}

// topEnd measures one plateau.
//
// Its sustained speed is the highest, over all windows of HeldFor that begin
// and end within the plateau or at most a quarter of a window outside it, of the speed held
// throughout the window: the median of the readings, and no more than HeldBand
// above what HeldShare of them reach.
func (m *measurer) topEnd(r span) TopEnd {
	t := TopEnd{From: m.at(r.a), To: m.at(r.b)}
	m.fillHeld(&t, r)
	settled := span{min(r.b, r.a+m.count(m.opt.SettleFor)), r.b}
	unloaded := engine.RPM(1-m.opt.LoadBand) * t.Sustained.Speed
	m.countReadings(&t, r, unloaded)
	m.countFiring(&t, settled, unloaded)

	full := engine.RPM(1-m.opt.FullBand) * t.Sustained.Speed
	clean := m.longest(r, func(p shaft.Point) bool { return p.Fires == 1 && p.Speed >= full })
	t.CleanFrom, t.CleanTo = m.at(clean.a), m.at(clean.b)
	t.Overshoot = m.overshoot(r, settled)
	t.Drift = m.drift(m.steadyPart(r))
	t.Surge = m.oscillation(settled)
	t.Stutter = m.stutter(m.limiterSpan(settled, t.Sustained.Speed))
	t.Alternatives = m.alternatives(r, t.Sustained.Speed)
	return t
}

// fillHeld fills in the speeds that were held.
func (m *measurer) fillHeld(t *TopEnd, r span) {
	n, out := len(m.points), m.held.longPoints/4
	top, at := fastestHeld(m.held.long, m.held.longPoints, span{max(0, r.a-out), min(n, r.b+out)}, m.opt)
	t.Sustained, t.Doubted = top.figure(), m.doubted(at, top)
	t.HeldFrom, t.HeldTo = m.at(at), m.at(min(n, at+m.held.longPoints))
	if top.speed == 0 { // too many gaps for any window
		t.Sustained, t.HeldFrom, t.HeldTo = m.levelOf(r), t.From, t.To
	}
	brief, _ := fastestHeld(m.undoubted(m.held.brief, r), m.held.briefPoints, span{0, r.b - r.a}, m.opt)
	t.Brief = brief.figure()
}

// countReadings fills in the peak and how good the evidence is; readings at or above
// least are those without load.
func (m *measurer) countReadings(t *TopEnd, r span, least engine.RPM) {
	told, atSpeed, belief := 0, 0, 0.0
	var peak shaft.Point
	for _, p := range m.points[r.a:r.b] {
		if !p.Speed.Told() {
			continue
		}
		told++
		belief += p.Confidence
		if p.Speed > peak.Speed {
			peak = p
		}
		if p.Speed >= least {
			atSpeed++
		}
	}
	t.Peak = Figure{peak.Speed, engine.RPM(math.Hypot(float64(peak.SD), m.opt.FloorSD*float64(peak.Speed)))}
	t.ToldShare = ratio(told, r.b-r.a)
	t.UnloadedFor = engine.Seconds(float64(atSpeed) * m.hop)
	t.Confidence = belief / math.Max(1, float64(told))
}

// steadyPart leaves out the first second or so of a plateau, in which the speed
// still creeps up to its top, and the last block, which may be on its way down.
func (m *measurer) steadyPart(r span) span {
	a, b := r.a+m.count(m.opt.CreepFor), r.b-m.count(m.opt.BriefFor)
	if a >= b {
		return span{r.a, r.a}
	}
	return span{a, b}
}

// countFiring fills in how it fired over a span, at or above a speed.
func (m *measurer) countFiring(t *TopEnd, r span, least engine.RPM) {
	var f firingCounts
	uneven := 0
	var evidence []float64
	for _, p := range m.points[r.a:r.b] {
		if p.Speed.Told() && p.Speed >= least {
			f.add(p.Fires)
			evidence = append(evidence, p.MissEvidence)
			if p.Uneven {
				uneven++
			}
		}
	}
	if len(evidence) > 0 && m.machine.Spec == engine.TwoStrokeSingle {
		t.MostlyFour = m.mostlyFour(evidence)
	}
	for i := range f {
		t.Firing[i] = ratio(f[i], f.all())
	}
	t.Clean, t.Uneven = t.Firing[1], ratio(uneven, f.all())
	t.FourStroking, t.FourStrokingSD = m.fourStrokingOfAll(f)
	t.FiringFor = engine.Seconds(float64(f.told()) * m.hop)
}

// mostlyFour gives the probability that it four-strokes for most of a span, from the
// evidence of its points. Within FiringFor the firing is told once: the evidence of so
// many points around one gives its probability, with the prior of package firing, all of
// whose states are alike: four of the six miss firings. What hides missed firings or
// imitates them does so all along, so the points are right or wrong together: for each
// probability that may be in error, those that are surer count as four-stroking, and
// that they are most of the time has the error of their share. Now and then the evidence
// misleads, however clear, one way or the other: the likelihood is contaminated, by what
// an interval of two standard deviations leaves out.
//
// Source: Box and Tiao 1968.
func (m *measurer) mostlyFour(evidence []float64) float64 {
	const misled, even, odds = 0.05, 0.5, 2
	n := len(evidence)
	p := make([]float64, n)
	dsp.RunningMean(p, evidence, m.count(m.opt.FiringFor)/2)
	for i, v := range p {
		p[i] = 1 / (1 + math.Exp(-v*float64(m.opt.FiringFor)/m.hop)/odds)
	}
	slices.Sort(p)
	told, below := 0.0, 0.0 // below: the next lower probability
	for i, v := range append(p, 1) {
		share := float64(n-i) / float64(n)
		over := (share - even) / m.samplingSD(share, n)
		told += (v - below) * math.Erfc(-over/math.Sqrt2) / 2
		below = v
	}
	return misled*even + (1-misled)*told
}

// longest gives the longest part of a span whose points all pass f, but for breaks
// of no more than SmoothFor.
func (m *measurer) longest(r span, f func(shaft.Point) bool) span {
	longest := span{r.a, r.a}
	var run span
	for i, x := range m.spansWhere(r, func(i int) bool { return f(m.points[i]) }) {
		if i == 0 || m.length(span{run.b, x.a}) > m.opt.SmoothFor {
			run.a = x.a
		}
		run.b = x.b
		if run.b-run.a > longest.b-longest.a {
			longest = run
		}
	}
	return longest
}

// overshoot gives how far the speed shot over its settled level when the top
// was reached. Only a plateau that follows a rise can overshoot.
func (m *measurer) overshoot(r, settled span) Figure {
	if !m.follows(r, Rise) || m.length(settled) < m.opt.HeldFor {
		return Figure{}
	}
	first, _ := fastestHeld(m.held.brief, m.held.briefPoints, span{r.a, settled.a}, m.opt)
	after := m.levelOf(settled)
	over := engine.RPM(first.speed) - after.Speed
	if first.speed == 0 || over <= 0 {
		return Figure{}
	}
	return Figure{over, engine.RPM(math.Hypot(first.sd(), float64(after.SD)))}
}

// follows reports whether the segment before a span is of a kind.
func (m *measurer) follows(r span, k Kind) bool {
	return slices.ContainsFunc(m.segments, func(x segment) bool { return x.b == r.a && x.kind == k })
}

// alternatives clusters the second readings of a plateau by their ratio to the
// first, and gives the clusters that are probable enough.
func (m *measurer) alternatives(r span, speed engine.RPM) []Alternative {
	type cluster struct{ log, share float64 }
	var found []cluster
	points := 0
	for _, p := range m.points[r.a:r.b] {
		if !p.Speed.Told() {
			continue
		}
		points++
		if !p.Alternative.Told() {
			continue
		}
		ratio := math.Log(float64(p.Alternative / p.Speed))
		i := slices.IndexFunc(found, func(c cluster) bool { return math.Abs(c.log-ratio) <= m.opt.AlternativeCluster })
		if i < 0 {
			found = append(found, cluster{log: ratio})
			i = len(found) - 1
		}
		c := &found[i]
		c.share += p.AlternativeShare
		c.log += (ratio - c.log) * p.AlternativeShare / c.share
	}
	var out []Alternative
	for _, c := range found {
		if mean := c.share / float64(max(1, points)); mean >= m.opt.MinAlternative {
			out = append(out, Alternative{speed * engine.RPM(math.Exp(c.log)), mean})
		}
	}
	slices.SortStableFunc(out, func(a, b Alternative) int { return cmp.Compare(b.Share, a.Share) })
	return out
}

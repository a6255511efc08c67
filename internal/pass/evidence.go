package pass

import (
	"cmp"
	"math"
	"slices"

	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// evidence gives how much was told and how fast it can have been.
func (m *measurer) evidence() Evidence {
	s, o := m.series, m.opt
	all := span{0, len(s.points)}
	var e Evidence
	for _, i := range s.jumps {
		e.Jumps = append(e.Jumps, s.at(i))
	}
	if known := s.knownSpans(); len(known) > 0 {
		between := span{known[0].a, known[len(known)-1].b}
		told := len(s.told(all))
		e.ToldFor = engine.Seconds(float64(told) * s.hop)
		e.ToldShare = float64(told) / float64(between.b-between.a)
	}
	top, at := fastestHeld(m.held.long, m.held.longPoints, all, o)
	if top.calm(o) {
		e.Fastest, e.At = top.figure(), s.at(at)
	}
	m.bound(&e)
	m.stray(&e)
	return e
}

// stray fills in the highest speed that was taken back and held for HeldFor.
func (m *measurer) stray(e *Evidence) {
	from := 0 // of the points that were taken back
	for i, p := range m.points {
		if p.Speed.Told() || !p.Alternative.Told() {
			from = i + 1
			continue
		}
		if first := i + 1 - m.held.longPoints; first >= from {
			held := slices.MinFunc(m.points[first:i+1], func(a, b shaft.Point) int { return cmp.Compare(a.Alternative, b.Alternative) })
			e.Stray.raise(float64(held.Alternative), m.at(first))
		}
	}
}

// bound fills in the bounds of the speeds that were held. Precise readings reach the
// limit as far as they are uncertain; others only as far as is likely, so that a
// warning means as much as an all-clear. What they leave open beyond that is doubt.
func (m *measurer) bound(e *Evidence) {
	o := m.opt
	for i, w := range m.held.long {
		at, least := m.at(i), w.speed-o.CoverageFactor*w.sd()
		// A throttle in motion scatters the readings, too, without making them less
		// sure: scatter counts for no more than it may in a calm reading.
		w.scatterSD = min(w.scatterSD, 2*o.SettledBand*w.speed)
		sd, doubted := w.upperSD(o), m.doubted(i, w)
		if !doubted {
			e.LowerBound.raise(least, at)
		}
		if !doubted && o.CoverageFactor*w.looseSD() <= o.HeldBand*w.speed {
			e.UpperBound.raise(w.speed+o.CoverageFactor*sd, at)
			continue
		}
		e.WeakUpperBound.raise(w.speed+o.CoverageFactor*sd, at)
		if !doubted && w.looseSD() <= 2*o.SettledBand*w.speed {
			e.UpperBound.raise(w.speed+sd, at)
		}
	}
}

// multiples are the ratios by which a speed is read too high.
var multiples = []float64{3. / 2, 2}

// leaptSpans gives the spans that are faster than a neighbour by a leap to such a
// multiple, which no shaft can make, and shorter than that one: the readings are
// wrong on one side of the leap, and more of them speak for the slower side.
func (s *series) leaptSpans(o Options) []span {
	known := s.knownSpans()
	var out []span
	for k := 1; k < len(known); k++ {
		before, after := known[k-1], known[k]
		if !slices.Contains(s.jumps, after.a) {
			continue
		}
		leap, fast, slow := math.Log(s.smooth[after.a]/s.smooth[before.b-1]), after, before
		if leap < 0 {
			leap, fast, slow = -leap, before, after
		}
		simple := slices.ContainsFunc(multiples, func(r float64) bool { return math.Abs(leap-math.Log(r)) <= 2*o.AlternativeCluster })
		if simple && s.length(fast) < s.length(slow) {
			out = append(out, fast)
		}
	}
	return out
}

// leapt reports whether a point is in one of them.
func (m *measurer) leapt(i int) bool {
	return slices.ContainsFunc(m.leaps, func(r span) bool { return r.a <= i && i < r.b })
}

// besideLeap reports whether a window that begins at a point is no further than its
// length from a leap, where the readings are as likely wrong as those across it, and is
// not settled, either.
func (m *measurer) besideLeap(i int, w sustained) bool {
	wide := m.held.longPoints
	return w.looseSD() > m.opt.SettledBand*w.speed && slices.ContainsFunc(m.jumps, func(j int) bool { return i-wide <= j && j <= i+2*wide })
}

// doubted reports whether a window that begins at a point is more likely misread than
// not, while others at full throttle are not.
func (m *measurer) doubted(i int, w sustained) bool {
	return m.leapt(i) || w.confidence < m.minConfidence || m.besideLeap(i, w)
}

// leastConfidence gives the confidence under which readings are doubted: none where all
// of the full throttle would be, since then there is nothing that contradicts them.
func (m *measurer) leastConfidence() float64 {
	for _, x := range m.segments {
		if x.kind != FullThrottle {
			continue
		}
		for i := x.a; i+m.held.longPoints <= x.b; i++ {
			if w := m.held.long[i]; w.speed > 0 && w.confidence >= m.opt.MinConfidence && !m.leapt(i) {
				return m.opt.MinConfidence
			}
		}
	}
	return 0
}

// undoubted gives the windows that begin in a span, those that are doubted as none.
func (m *measurer) undoubted(windows []sustained, r span) []sustained {
	out := make([]sustained, r.b-r.a)
	for i, w := range windows[r.a:r.b] {
		if !m.doubted(r.a+i, w) {
			out[i] = w
		}
	}
	return out
}

func (b *Bound) raise(speed float64, at engine.Seconds) {
	if engine.RPM(speed) > b.Speed {
		*b = Bound{engine.RPM(speed), at}
	}
}

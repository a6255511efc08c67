package pass

import (
	"sort"
	"sync"

	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/shaft"
)

// Whole is a track that was summarised, of which parts can be summarised as well without
// measuring anew what they share with it.
type Whole struct {
	Summary
	machine  engine.Machine
	opt      Options
	measured *measurer // nil of a long track, where it would take much memory
}

// NewWhole is Summarise for a track of which parts are summarised then.
func NewWhole(t shaft.Track, cycles firing.Cycles, machine engine.Machine, o Options) Whole {
	m := newMeasurer(t, cycles, machine, o, nil)
	m.cuts = new(sync.Map)
	w := Whole{m.summarise(), machine, o, m}
	if len(t.Points) > m.count(shaft.Long) {
		w.measured = nil
	}
	return w
}

// Part gives what Summarise does for a part of the track and of its cycles. Several
// goroutines may call it at once.
func (w Whole) Part(t shaft.Track, cycles firing.Cycles) Summary {
	return newMeasurer(t, cycles, w.machine, w.opt, w.measured).summarise()
}

// newMeasurer prepares to measure a track; whole is the measurer of the one that it is a
// part of, nil for none.
func newMeasurer(t shaft.Track, cycles firing.Cycles, machine engine.Machine, o Options, whole *measurer) *measurer {
	s := clean(t, o)
	h := measureHeld(s, o, whole.shared(s))
	m := &measurer{series: s, held: h, segments: segmentTrack(s, h, machine.Spec, o), leaps: s.leaptSpans(o), machine: machine, cycles: cycles, opt: o, whole: whole}
	m.minConfidence = m.leastConfidence()
	return m
}

// shared is what a series has in common with a longer one that was measured.
type shared struct {
	*series // the longer one
	held    *heldSpeeds
	from    int   // its point that the first one is
	equal   []int // of each point, how many from there on are the same in both
}

// shared compares a series with the one that m measured.
func (m *measurer) shared(s *series) (x shared) {
	if m == nil || len(s.points) == 0 || s.hop != m.hop {
		return x
	}
	x = shared{series: m.series, held: m.held, equal: make([]int, len(s.points)+1)}
	x.from = sort.Search(len(m.points), func(i int) bool { return m.points[i].At >= s.points[0].At })
	for i := len(s.points) - 1; i >= 0; i-- {
		if k := x.from + i; k < len(m.points) && s.points[i] == m.points[k] {
			x.equal[i] = x.equal[i+1] + 1
		}
	}
	return x
}

// window gives what was held over a window of the longer series, among those that all
// has of it; it reports false where the two differ there, or it was not measured.
func (x *shared) window(r span, all []sustained, d engine.Seconds) (w sustained, ok bool) {
	if x.series == nil || x.equal[r.a] < r.b-r.a {
		return w, false
	}
	there := span{r.a + x.from, r.b + x.from}
	if !x.isHeld(there, d) {
		return w, false
	}
	return all[there.a], true
}

// cutsKey says which cycles sparks are looked for in, and when.
type cutsKey struct {
	first    *firing.Cycle
	n        int
	from, to engine.Seconds
}

// sparkCuts finds the sparks that a coil cuts between two times, or gives what was found
// there in the whole.
func (m *measurer) sparkCuts(from, to engine.Seconds) firing.SparkCutEvidence {
	c := m.cycles.Between(from, to)
	if len(c) == 0 {
		return firing.FindSparkCuts(m.cycles, from, to)
	}
	key := cutsKey{&c[0], len(c), from, to}
	if m.whole != nil {
		if e, ok := m.whole.cuts.Load(key); ok {
			return e.(firing.SparkCutEvidence)
		}
	}
	e := firing.FindSparkCuts(m.cycles, from, to)
	if m.cuts != nil {
		m.cuts.Store(key, e)
	}
	return e
}

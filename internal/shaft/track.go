package shaft

import (
	"iter"

	"topnote/internal/engine"
)

// Firing says how often the engine fires: 0 not told, N every Nth working
// cycle (for a two-stroke, every Nth revolution), 1 to 4.
type Firing uint8

// Told reports whether a firing period could be told.
func (f Firing) Told() bool { return f > 0 }

// FourStroking reports whether firings are missed in a regular pattern.
func (f Firing) FourStroking() bool { return f > 1 }

// Point is the reading at one instant of the clip.
type Point struct {
	At               engine.Seconds     // of the middle of its window
	Speed            engine.RPM         // 0 when it cannot be told; never NaN
	SD               engine.RPM         // one standard deviation of Speed; 0 with no speed
	Confidence       float64            // 0 to 1: posterior of this reading; Right says what it is worth
	Fires            Firing             // of the highest posterior; firing.Classify finds it more exactly
	FourStroking     float64            // 0 to 1: probability that firings are missed in a pattern, given the speed; 0 until firing.Classify finds it
	MissEvidence     float64            // ln of the likelihood of missed firings over that of none, of this point by itself; 0 until firing.Classify finds it
	Uneven           bool               // Fires is not told, and firings are hardly missed in a pattern; false until firing.Classify finds it
	PeriodShare      [MaxPeriod]float32 // posterior of firing every 1st to 4th cycle, given the speed; all 0 with no speed
	Alternative      engine.RPM         // the second reading, with no speed one that was taken back as something else's; 0: none
	AlternativeShare float64            // 0 to 1: its posterior
}

// Right gives the probability, 0 to 1, that the speed is the right one. Where its lines
// were refined to half of what the lattice leaves, they are a second witness beside it,
// and both must be wrong.
// docs/accuracy.md holds it to what is found.
func (p Point) Right() float64 {
	doubt := 1 - p.Confidence
	if p.sure() {
		doubt *= doubt
	}
	return 1 - doubt
}

// sure reports whether the speed was refined, and well: to half of the standard
// deviation that the lattice leaves.
func (p Point) sure() bool { return p.Speed.Told() && p.SD <= gridReach/4*p.Speed }

// FiringConfidence gives the probability, 0 to 1, that it fires every time, or that
// it does not, as Fires says; 0 where that was not told.
func (p Point) FiringConfidence() float64 {
	switch {
	case !p.Fires.Told():
		return 0
	case p.Fires.FourStroking():
		return p.FourStroking
	}
	return 1 - p.FourStroking
}

// MaxPeriod is the longest firing period: one firing in four cycles.
const MaxPeriod = 4

// Track is the speed of one shaft over time: strictly rising At, one point
// every Hop.
type Track struct {
	Hop    engine.Seconds
	Points []Point

	// FiringShareSD is the standard deviation, 0 to 1, that other sounds add to any
	// share of four-stroking that is counted from Points.
	FiringShareSD float64
}

// Told gives the time for which a speed is told.
func (t Track) Told() engine.Seconds {
	n := 0
	for _, p := range t.Points {
		if p.Speed.Told() {
			n++
		}
	}
	return engine.Seconds(n) * t.Hop
}

// Runs gives the bounds of every unbroken run of points with a speed: the first, and
// one past the last.
func (t Track) Runs() iter.Seq2[int, int] { return runs(t.Points) }

func runs(ps []Point) iter.Seq2[int, int] {
	return runsOf(ps, func(p Point) bool { return p.Speed.Told() })
}

// runsOf gives the runs of points for which something holds.
func runsOf(ps []Point, holds func(Point) bool) iter.Seq2[int, int] {
	return func(yield func(from, to int) bool) {
		for i := 0; i < len(ps); i++ {
			if !holds(ps[i]) {
				continue
			}
			from := i
			for i < len(ps) && holds(ps[i]) {
				i++
			}
			if !yield(from, i) {
				return
			}
		}
	}
}

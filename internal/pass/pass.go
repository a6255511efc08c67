// Package pass cuts the speed of a shaft over time into the phases of a pass
// and measures each of them.
//
// A pass is one recorded run: idle, the throttle is opened, the engine races
// without load, perhaps it goes into the cut, the throttle is let go, the speed
// falls back to idle. Summarise first cleans the track (readings that a shaft
// cannot follow are taken out, short gaps are bridged), then splits it at about
// half of the highest speed held in the clip into slow and fast spans, and then
// splits each fast span: the climb, what stays within a tenth of its
// own top (full throttle, no load), what is pulled down between a tenth and
// two fifths below it (in the cut), the fall. So no built-in speed and no
// limit of the user decides what is the top; the speeds that were entered only
// serve for margins. Every figure has a standard deviation that holds the
// reading's own error, which neighbouring points share and which therefore
// does not shrink with their number. What is not there is nil, never a guess.
//
// The package does not judge: whether a figure is good or bad is for verdict
// to say. Start with Summarise.
package pass

import (
	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/parallel"
	"topnote/internal/shaft"
)

// Kind names a phase of a pass. The values are part of the report's schema.
type Kind string

// The phases of a pass, in the order in which they come.
const (
	NoEngine     Kind = "no-engine"
	Starting     Kind = "starting"
	Idle         Kind = "idle"
	Rise         Kind = "rise"
	FullThrottle Kind = "full-throttle" // at no load
	InCut        Kind = "in-the-cut"    // pulled down after full throttle at no load
	Fall         Kind = "fall"
	ReturnToIdle Kind = "return-to-idle"
	Stopping     Kind = "stopping"

	// PartThrottle is a speed held between idle and the top that is neither:
	// the throttle partly open, or a load with no top before it.
	PartThrottle Kind = "part-throttle"
	// NotTold is a gap between known speeds in which the speed could not be told.
	NotTold Kind = "not-told"
)

// Phase is one part of a pass.
type Phase struct {
	Kind             Kind
	From, To         engine.Seconds
	Median, Min, Max engine.RPM // 0 where no speed was told
	FourStroking     float64    // 0 to 1: share of the points with a firing period that four-stroke
	FiringTold       float64    // 0 to 1: share of the points with a speed that have a firing period
}

// Figure is a measured speed with its uncertainty: one standard deviation.
type Figure struct {
	Speed, SD engine.RPM
}

// Duration is a measured time with its uncertainty: one standard deviation.
type Duration struct {
	Time, SD engine.Seconds
}

// Rate is a change of speed over time in rpm per second, above 0 for a climb,
// with one standard deviation.
type Rate struct {
	PerSecond, SD float64
}

// Oscillation is a regular rise and fall of a speed that ought to be constant:
// hunting at idle, surging at full throttle.
type Oscillation struct {
	Period, PeriodSD engine.Seconds
	Depth, DepthSD   engine.RPM // from low to high, typically
	Periodicity      float64    // 0 to 1: autocorrelation at one period
}

// Alternative is a second speed that the sound could also mean.
type Alternative struct {
	Speed engine.RPM
	Share float64 // 0 to 1: its mean posterior probability over the plateau
}

// Summary is a pass, cut into phases and measured. A nil part is not there.
type Summary struct {
	Phases   []Phase
	TopEnd   *TopEnd  // the fastest of Plateaus that is not doubted, or else of all
	Plateaus []TopEnd // every full throttle without load, in order of time
	Idle     *IdleFigures
	Rise     *RiseFigures
	Cut      *CutFigures
	Fall     *FallFigures
	Evidence Evidence
}

// Evidence is for how much of it the speed was told, and what the highest speed of the
// whole clip can have been, in whatever phase.
type Evidence struct {
	ToldFor   engine.Seconds   // for which a speed was told
	ToldShare float64          // 0 to 1: share of the time between first and last reading with a speed
	Jumps     []engine.Seconds // when the speed changes faster than a shaft can
	Fastest   Figure           // highest speed held for HeldFor by readings that agree with one another; 0: none
	At        engine.Seconds   // where Fastest was held: from here for HeldFor

	// The bounds of what was held for HeldFor, Options.CoverageFactor standard
	// deviations on either side.
	LowerBound     Bound // reached even if the readings are too high, by those that are more likely right than wrong
	UpperBound     Bound // may have been reached if precise readings are too low, or is within one deviation of others
	WeakUpperBound Bound // may have been reached by readings that are not precise, or are doubted

	Stray Bound // held by what was taken back as something else's: a second engine, a voice, or this one further away
}

// Bound is the highest speed of its kind and where it was held: from At for
// Options.HeldFor. Speed 0: none.
type Bound struct {
	Speed engine.RPM
	At    engine.Seconds
}

// Summarise cuts a track into phases and measures them.
//
// t may be of any length and hold gaps, wrong readings and several passes;
// points out of order or with numbers that are none are left out. cycles are those
// of the same sound (firing.Classify); without any, no lost sparks are found. machine
// gives the engine and the speeds that were entered. The result owns its memory; a track
// without a speed gives one phase, an empty one none.
func Summarise(t shaft.Track, cycles firing.Cycles, machine engine.Machine, o Options) Summary {
	return NewWhole(t, cycles, machine, o).Summary
}

// summarise summarises what a measurer measures, its plateaus beside all else.
func (m *measurer) summarise() Summary {
	plateaus := m.plateaus()
	sum := Summary{Plateaus: make([]TopEnd, len(plateaus))}
	var group parallel.Group
	for i, r := range plateaus {
		group.Go(func() error {
			sum.Plateaus[i] = m.topEnd(r)
			return nil
		})
	}
	sum.Phases, sum.Evidence = m.phases(), m.evidence()
	sum.Idle, sum.Rise, sum.Cut, sum.Fall = m.idle(), m.rise(), m.cut(), m.fall()
	if err := group.Wait(); err != nil {
		panic(err)
	}
	sum.TopEnd = fastestPlateau(sum.Plateaus)
	return sum
}

// fastestPlateau gives the plateau with the highest sustained speed, one that is
// doubted only where there is no other; nil for none.
func fastestPlateau(plateaus []TopEnd) *TopEnd {
	var top *TopEnd
	for i := range plateaus {
		p := &plateaus[i]
		if top == nil || top.Doubted && !p.Doubted || top.Doubted == p.Doubted && p.Sustained.Speed > top.Sustained.Speed {
			top = p
		}
	}
	return top
}

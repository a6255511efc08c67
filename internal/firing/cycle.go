package firing

import (
	"sort"

	"topnote/internal/engine"
)

// Quarters is how many parts the strength of a revolution is given in. A revolution
// may be cut anywhere, through a firing too, and half a firing at either end would
// hide that revolutions differ.
const Quarters = 4

// Cycle is the strength of one revolution of the shaft, which is the working cycle
// of a two-stroke.
type Cycle struct {
	At  engine.Seconds    // when it begins; where in the working cycle is not known
	RMS [Quarters]float32 // of the difference from sample to sample, in each quarter
}

// Cycles are the cycles of a track in order of time. There are none where no speed
// was told.
type Cycles []Cycle

// Between gives the cycles that begin between two times.
func (c Cycles) Between(from, to engine.Seconds) Cycles {
	a := sort.Search(len(c), func(i int) bool { return c[i].At >= from })
	b := sort.Search(len(c), func(i int) bool { return c[i].At >= to })
	return c[a:max(a, b)]
}

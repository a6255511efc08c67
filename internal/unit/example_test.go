package unit_test

import (
	"fmt"

	"topnote/internal/unit"
)

// A two-stroke single at 12,000 rpm turns 200 times a second and fires as often;
// a four-stroke single fires every second turn.
func Example() {
	speed := unit.RPM(12000)
	fmt.Println(float64(speed.Hz()), "Hz")
	for _, e := range []unit.Engine{unit.TwoStrokeSingle, {Strokes: 4, Cylinders: 1}} {
		fmt.Println(e.Strokes, "strokes:", e.FiringOrder(), "firings a turn")
	}
	// Output:
	// 200 Hz
	// 2 strokes: 1 firings a turn
	// 4 strokes: 0.5 firings a turn
}

package engine_test

import (
	"fmt"

	"topnote/internal/engine"
)

// A two-stroke single at 12,000 rpm turns 200 times a second and fires as often;
// a four-stroke single fires every second turn.
func Example() {
	speed := engine.RPM(12000)
	fmt.Println(float64(speed.Hz()), "Hz")
	for _, e := range []engine.Spec{engine.TwoStrokeSingle, {Strokes: 4, Cylinders: 1}} {
		fmt.Println(e.Strokes, "strokes:", e.FiringOrder(), "firings a turn")
	}
	// Output:
	// 200 Hz
	// 2 strokes: 1 firings a turn
	// 4 strokes: 0.5 firings a turn
}

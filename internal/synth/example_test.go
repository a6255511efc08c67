package synth_test

import (
	"fmt"

	"topnote/internal/synth"
)

// A clip whose truth is known: two seconds of a saw that four-strokes at
// 12,000 rpm, without wander, heard through a telephone.
func ExampleScene_Render() {
	s := synth.NewScene(1, synth.Steady(12000, 2), synth.Always(synth.Every(2, 0.4)))
	s.Rate = 8000
	s.Wander = synth.Wander{}
	s.Phone = synth.Telephone()
	sound := s.Render()

	truth := sound.Truth
	fmt.Println(len(sound.Samples), "samples at", sound.Rate, "Hz")
	fmt.Printf("%.0f rpm, firing every %d turns\n", truth.SpeedAt(1), truth.FiresAt(1))
	fmt.Println(len(truth.Cycles), "working cycles")
	// Output:
	// 16000 samples at 8000 Hz
	// 12000 rpm, firing every 2 turns
	// 399 working cycles
}

// A saw whose H screw is turned from very rich to very lean.
func ExampleSweep() {
	limits := synth.Limits{Max: 13500, Idle: 2800, Clutch: 3700}
	last := ""
	for _, tune := range synth.Sweep(synth.DesignSaw(), 1, limits, 1) {
		if d := synth.Deserve(tune.Run(), limits); d.Code != last {
			fmt.Println(d.Code)
			last = d.Code
		}
	}
	// Output:
	// rich-in-cut
	// four-stroking
	// over-limit
}

package firing_test

import (
	"context"
	"fmt"
	"log"
	"math"

	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/shaft"
	"topnote/internal/synth"
)

// A saw that idles, is opened, and then four-strokes at 12,000 rpm, through a
// telephone that has lost the lowest lines: those that are left could be of 6,000
// rpm, firing every turn. Firing 2 is every second turn, 0 is not told.
func ExampleClassify() {
	profile := synth.Pieces(2800,
		synth.Piece{Name: "idle", For: 1, To: 2800},
		synth.Piece{Name: "rise", For: 0.5, To: 12000, Throttle: 1},
		synth.Piece{Name: "top", For: 2, To: 12000, Throttle: 1})
	scene := synth.NewScene(1, profile, synth.ByPhase(profile, map[string]synth.Firing{
		"idle": synth.Clean(), "rise": synth.Clean(), "top": synth.Every(2, 0.4),
	}))
	scene.Rate, scene.Wander = 8000, synth.Wander{}
	scene.Phone = synth.Telephone()
	sound := scene.Render()

	track, err := shaft.Follow(context.Background(), sound.Samples, sound.Rate, engine.Machine{Spec: engine.TwoStrokeSingle})
	if err != nil {
		log.Fatal(err)
	}
	track, cycles, err := firing.Classify(context.Background(), sound.Samples, sound.Rate, track, engine.TwoStrokeSingle)
	if err != nil {
		log.Fatal(err)
	}
	for _, at := range []engine.Seconds{0.5, 2.5} {
		p := track.Points[int(at/track.Hop)]
		const step = 100 // as exact as is printed here
		fmt.Printf("at %.1f s: %.0f rpm, firing %d\n", at, step*math.Round(float64(p.Speed)/step), p.Fires)
	}
	fmt.Printf("%d cycles from 2 to 3 s\n", len(cycles.Between(2, 3)))
	// Output:
	// at 0.5 s: 2800 rpm, firing 0
	// at 2.5 s: 12000 rpm, firing 2
	// 200 cycles from 2 to 3 s
}

package pass_test

import (
	"fmt"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
)

func ExampleSummarise() {
	// Idle, full throttle while firing every second turn, back to idle.
	track := passtest.New(1).Hold(2, 2800).Ramp(0.4, 2800, 12600).
		Fires(2).Hold(3, 12600).Fires(1).Ramp(0.8, 12600, 2800).Hold(2, 2800).Build()

	s := pass.Summarise(track, nil, engine.Machine{Spec: engine.TwoStrokeSingle}, pass.Default())
	for _, p := range s.Phases {
		fmt.Printf("%-15s %.1f s to %.1f s\n", p.Kind, p.From, p.To)
	}
	fmt.Printf("held %.0f rpm, four-stroking for %.0f %%\n", s.TopEnd.Sustained.Speed, 100*s.TopEnd.FourStroking)
	// Output:
	// idle            0.0 s to 2.1 s
	// rise            2.1 s to 2.4 s
	// full-throttle   2.4 s to 5.5 s
	// fall            5.5 s to 6.1 s
	// return-to-idle  6.1 s to 8.2 s
	// held 12611 rpm, four-stroking for 98 %
}

func BenchmarkSummarise(b *testing.B) {
	track := whole(1).Build()
	b.ReportAllocs()
	for b.Loop() {
		pass.Summarise(track, nil, bench, pass.Default())
	}
}

package pass

import (
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/pass/passtest"
)

// TestPart: a part of a track that was summarised is summarised as if it had been
// recorded alone. Source: Summarise.
func TestPart(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		made := passtest.New(rapid.Uint64().Draw(t, "seed")).Noise(0.003, 0.003)
		for range rapid.IntRange(1, 3).Draw(t, "openings") {
			made.Hold(2, 2800).Ramp(0.5, 2800, 12500).Hold(engine.Seconds(rapid.IntRange(1, 5).Draw(t, "held")), 12500)
			if rapid.Bool().Draw(t, "leap") {
				made.Hold(1.5, 6250).Hold(1, 12500)
			}
			if rapid.Bool().Draw(t, "hole") {
				made.Hole(1).Hold(1, 12500)
			}
			made.Ramp(1, 12500, 2800).Hold(1, 2800)
		}
		track, cycles := made.Build(), made.Cycles(0.1, passtest.Bursts(18, 6, 0.6))
		machine, o := engine.Machine{Spec: engine.TwoStrokeSingle}, Default()
		whole := NewWhole(track, cycles, machine, o)
		a := rapid.IntRange(0, len(track.Points)).Draw(t, "from")
		b := rapid.IntRange(a, len(track.Points)).Draw(t, "to")
		part := track
		part.Points = slices.Clone(track.Points[a:b])
		if a < b && rapid.Bool().Draw(t, "another") { // a reading that the whole has not
			part.Points[rapid.IntRange(0, b-a-1).Draw(t, "at")].Speed *= 1.003
		}
		if a < b {
			cycles = cycles.Between(track.Points[a].At, track.Points[b-1].At)
		}
		if got, want := newMeasurer(part, cycles, machine, o, whole.measured).held, newMeasurer(part, cycles, machine, o, nil).held; !reflect.DeepEqual(got, want) {
			t.Fatalf("points %d to %d: other speeds are held than alone", a, b)
		}
		if got, want := whole.Part(part, cycles), Summarise(part, cycles, machine, o); !reflect.DeepEqual(got, want) {
			t.Fatalf("points %d to %d: %+v, want %+v", a, b, got, want)
		}
	})
}

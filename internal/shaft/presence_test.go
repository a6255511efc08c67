package shaft

import (
	"math"
	"testing"

	"topnote/internal/unit"
)

// TestPlays: notes are music; an engine that is opened, held and let go again
// and again is none, nor is one that was read on a wrong line once or twice.
// Source: the shaft of a saw takes 0.3 s and more from idle to the top (shared
// recordings), notes change at once.
func TestPlays(t *testing.T) {
	o := Default()
	notes := []float64{9000, 10100, 12000, 9540}
	blips := func(s float64) float64 { // open in 0.4 s, let go in 0.8 s
		switch u := math.Mod(s, 1.6); {
		case u < 0.4:
			return 3000 + 22500*u
		case u < 0.8:
			return 12000
		}
		return 3000 + 9000*(1.6-math.Mod(s, 1.6))/0.8
	}
	for name, tt := range map[string]struct {
		speed func(s float64) float64
		want  bool
	}{
		"a note every half second":      {func(s float64) float64 { return notes[int(2*s)%len(notes)] }, true},
		"two notes, then one held":      {func(s float64) float64 { return notes[min(2, int(2*s))] }, false},
		"one speed":                     {func(float64) float64 { return 12000 }, false},
		"opened and let go, many times": {blips, false},
	} {
		ps := points(int(6/o.Hop), func(i int) unit.RPM { return unit.RPM(tt.speed(float64(i) * float64(o.Hop))) })
		if got := o.plays(ps, o.Hop); got != tt.want {
			t.Errorf("%s: %v, want %v", name, got, tt.want)
		}
	}
}

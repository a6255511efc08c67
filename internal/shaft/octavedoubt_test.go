package shaft

import (
	"slices"
	"testing"

	"topnote/internal/engine"
)

// heldFor gives points of 20 ms that hold each speed for so many of them.
func heldFor(n int, speeds ...engine.RPM) (ps []Point) {
	for _, v := range speeds {
		for range n {
			ps = append(ps, Point{At: engine.Seconds(len(ps)) * 0.02, Speed: v, Confidence: 1})
		}
	}
	return ps
}

// TestUnsure: of two readings that agree at idle, and of which one has full throttle at
// half the speed, full throttle is not told where neither is clearly the better one.
func TestUnsure(t *testing.T) {
	o := defaultOctave()
	whole, half := heldFor(50, 3000, 13000), heldFor(50, 3000, 6500)
	for _, tt := range []struct {
		name            string
		evidence        float64 // of the half
		leaps           bool    // the whole one does
		idle, otherIdle engine.RPM
		told            bool
	}{
		{"as much evidence", 0, false, 3000, 3000, false},
		{"clear evidence", 30, false, 3000, 3000, true},
		{"a leap alone", 0, true, 3000, 3000, false},
		{"an idle that none has", 0, false, 5500, 3000, true},
		{"clear evidence of an idle that none has", 30, false, 3000, 5500, true},
	} {
		a := reading{points: half, top: 6500, idle: tt.otherIdle, evidence: tt.evidence}
		b := reading{points: whole, top: 13000, idle: tt.idle, leaps: tt.leaps}
		got := o.unsure(a, []reading{a, b}, engine.Machine{}, 0.02)
		var want []int
		for i := 50; i < 100 && !tt.told; i++ {
			want = append(want, i)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: not told are %v, want %v", tt.name, got, want)
		}
	}
}

// TestHeard: the multiples that are looked for without a limit.
func TestHeard(t *testing.T) {
	o := defaultOctave()
	doubted := heldFor(50, 3000, 6500)
	for i := range doubted[50:] {
		doubted[50+i].Alternative, doubted[50+i].AlternativeShare = 13000, 0.1
	}
	for _, tt := range []struct {
		name   string
		points []Point
		point  int        // at which the bounds
		allow  engine.RPM // must allow a speed
		refuse engine.RPM // and must not allow another; 0: no bounds at all
	}{
		{"clear", heldFor(50, 3000, 6500), 0, 0, 0},
		{"a second reading of the lattice", doubted, 75, 13000, 6500},
		{"two levels of idle", heldFor(50, 2900, 3400), 75, 13600, 3400},
		{"the lower of them", heldFor(50, 2900, 3400), 25, 2900, 0},
		{"one level", heldFor(100, 3000), 0, 0, 0},
		{"half of the top, held", heldFor(50, 3000, 6500, 13000), 75, 13000, 6500},
	} {
		r := reading{points: tt.points}
		o.measure(&r, 0.02)
		all := o.heard(r, engine.Machine{}, 0.02)
		if tt.allow == 0 {
			if len(all) > 0 {
				t.Errorf("%s: %d others are looked for", tt.name, len(all))
			}
			continue
		}
		if !slices.ContainsFunc(all, func(b bounds) bool {
			return b.allow(tt.allow, tt.point, 1) && (tt.refuse == 0 || !b.allow(tt.refuse, tt.point, 1))
		}) {
			t.Errorf("%s: none of %d others is %v at point %d and not %v", tt.name, len(all), tt.allow, tt.point, tt.refuse)
		}
	}
}

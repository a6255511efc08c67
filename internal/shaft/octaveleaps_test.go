package shaft

import (
	"testing"

	"topnote/internal/engine"
)

// steps gives a track that holds each speed for a second, and goes from one to the next
// at once.
func steps(speeds ...engine.RPM) (ps []Point) {
	for _, v := range speeds {
		for range 50 {
			ps = append(ps, Point{At: engine.Seconds(len(ps)) * 0.02, Speed: v, Confidence: 1})
		}
	}
	return ps
}

// TestIdlesAtAMultiple: of a track that leaps, those parts are held to the idle that are
// at a simple multiple of it, and nothing else is.
func TestIdlesAtAMultiple(t *testing.T) {
	o := defaultOctave()
	const hop = 0.02
	for name, c := range map[string]struct {
		speeds []engine.RPM
		held   []bool // of each second
	}{
		"an idle at double its speed":      {[]engine.RPM{2900, 9000, 5800, 2900}, []bool{false, false, true, false}},
		"an idle at one and a half":        {[]engine.RPM{4350, 2900, 9000}, []bool{true, false, false}},
		"a throttle held half open":        {[]engine.RPM{2900, 9000, 6600, 2900}, nil},
		"full throttle at six times it":    {[]engine.RPM{2000, 12000, 2000}, nil},
		"all of it at double: no idle fit": {[]engine.RPM{5800, 18000, 5800}, nil},
	} {
		r := reading{points: steps(c.speeds...)}
		o.measure(&r, hop)
		var got []bool
		for _, b := range o.withoutLeaps(r, hop) {
			if got != nil {
				t.Errorf("%s: held at two multiples", name)
			}
			for i := range c.speeds {
				got = append(got, b.track[50*i+25].Speed.Told())
			}
		}
		if len(got) != len(c.held) {
			t.Errorf("%s: %v is held, want %v", name, got, c.held)
			continue
		}
		for i := range got {
			if got[i] != c.held[i] {
				t.Errorf("%s: %v is held, want %v", name, got, c.held)
			}
		}
	}
}

// TestChosenConfidence: readings that agree at a point are sure of it together, and the
// second one is told where they do not.
func TestChosenConfidence(t *testing.T) {
	a, b := reading{points: steps(2900, 9000)}, reading{points: steps(5800, 9000)}
	got := choose([]reading{a, b}, []float64{0.6, 0.4}, defaultOctave().Apart).points
	for second, want := range []struct {
		confidence float64
		other      engine.RPM
	}{{0.6, 5800}, {1, 0}} {
		if p := got[50*second+25]; p.Confidence != want.confidence || p.Alternative != want.other {
			t.Errorf("second %d: confidence %.2f, second reading %.0f; want %+v", second, p.Confidence, float64(p.Alternative), want)
		}
	}
}

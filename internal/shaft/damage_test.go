package shaft

import (
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/synth"
)

// damage is something that happens to a pass on its way into a file.
type damage struct {
	name   string
	do     func(s *synth.Scene, seed int)
	within float64 // percent of told frames within 1 %: what is asserted
	told   float64 // percent of frames with a speed: what is asserted
}

// bar is what issue 3 asks for: percent of voiced frames within 1 %. Where a
// damage does not reach it, what holds is asserted, and docs/accuracy.md says so.
const bar = 97

// beside puts another sound beside the engine.
func beside(k synth.Kind, below engine.Decibel) func(*synth.Scene, int) {
	return func(s *synth.Scene, _ int) { s.Beside = append(s.Beside, synth.Beside{Kind: k, Below: below}) }
}

// damages are those of issue 3, point 2, that need no other program. Known
// faults: beside a second engine the rise out of its lines and the fall into them
// are late, and an idle may be read on them; where echoes are strong the rise and
// the fall blur.
var damages = []damage{
	{"none", func(*synth.Scene, int) {}, bar, 99},
	{"voice band 300-3400 Hz", func(s *synth.Scene, _ int) { s.Phone = synth.Telephone() }, 96, 99},
	{"pink noise at 3 dB", beside(synth.Pink, 3), bar, 90},
	{"wind at 0 dB", beside(synth.Wind, 0), bar, 98},
	{"clipped by 14 dB", func(s *synth.Scene, _ int) { s.Phone.Peak = 14 }, bar, 99},
	{"automatic gain", func(s *synth.Scene, _ int) { s.Phone = synth.Handset() }, bar, 99},
	{"hum of 50 Hz at 6 dB", beside(synth.Hum50, 6), bar, 97},
	{"hum of 60 Hz at 6 dB", beside(synth.Hum60, 6), bar, 97},
	{"second engine at 12 dB", func(s *synth.Scene, seed int) {
		s.Beside = append(s.Beside, synth.Beside{Kind: synth.Second, Below: 12, Speed: engine.RPM(5200 + 1900*(seed%3))})
	}, bar, 95},
	{"strong echoes", func(s *synth.Scene, _ int) { s.Room = synth.Shed() }, 89, 88},
	{"starts at full throttle", func(s *synth.Scene, seed int) {
		top := s.Profile.At(3).Speed
		s.Profile = synth.Pieces(top, synth.Piece{Name: synth.FullThrottle, For: 4, To: top * 1.01, Throttle: 1},
			synth.Piece{Name: synth.Fall, For: 1.2, To: 2800, Shape: synth.Decay})
		s.Firing = synth.Always(synth.Every(2+seed%3, 0.2))
	}, bar, 99},
}

// TestDamages holds the speed to the exact truth of made passes that were
// damaged as telephones and places damage them: frames in which the engine is
// at least as loud as the rest.
func TestDamages(t *testing.T) {
	rows := make([]string, len(damages))
	totals := make([]passScore, len(damages))
	t.Run("each", func(t *testing.T) {
		for i, d := range damages {
			t.Run(d.name, func(t *testing.T) {
				t.Parallel()
				s := &totals[i]
				for seed := range *seeds {
					scene := drawPass(seed)
					d.do(&scene, seed)
					s.follow(t, render(scene), Default())
				}
				rows[i] = s.row(d.name)
				s.hold(t, d)
			})
		}
	})
	t.Log("\n" + passHead + "\n" + strings.Join(rows, "\n"))
	var covered, fine, hidden, wrong int
	for _, s := range totals {
		covered, fine = covered+s.covered, fine+s.told-s.gross
		hidden, wrong = hidden+s.hidden, wrong+s.hiddenWrong
	}
	t.Logf("within two standard deviations: %.1f %%; frames with the engine under the rest: %d, told and wrong: %d", percent(covered, fine), hidden, wrong)
	if percent(covered, fine) < 95 {
		t.Errorf("two standard deviations hold %.1f %% of the errors, 95 are claimed", percent(covered, fine))
	}
}

// hold asserts what holds under a damage.
func (s *passScore) hold(t *testing.T, d damage) {
	t.Helper()
	if s.frames < 100 || s.plateau < 50 {
		t.Fatalf("only %d frames and %d of the plateau were compared", s.frames, s.plateau)
	}
	if got := percent(s.close, s.told); got < d.within {
		t.Errorf("%.1f %% of told frames are within 1 %%, want %g", got, d.within)
	}
	if got := percent(s.told, s.frames); got < d.told {
		t.Errorf("%.1f %% of frames are told, want %g", got, d.told)
	}
	if s.multiples > 0 {
		t.Errorf("%d of %d frames of the plateau are read at a multiple", s.multiples, s.plateau)
	}
}

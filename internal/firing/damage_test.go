package firing_test

import (
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// damage is something that happens to a pass on its way into a file.
type damage struct {
	name string
	do   func(s *synth.Scene, seed int)
	// gap is the floor for the percent of told frames within 1 % where required is
	// not reached; 0: it is reached. A known gap, named in docs/accuracy.md with the
	// figure over thirty passes.
	gap float64
}

const (
	required = 97 // percent of told frames within 1 %: issue 3, point 2
	enough   = 30 // passes for each damage over which required is asked; see docs/accuracy.md

	// Floors guard against getting worse; nothing requires them. floor stands in
	// for required over fewer passes than enough: one odd second of three passes is
	// 3 % of their frames. The tracker may abstain, but what tells less than
	// toldFloor of what can be heard is of no use.
	floor     = 94
	toldFloor = 85
	toldOfFew = 70 // the same over fewer passes than enough: one plateau of three passes is 14 % of their frames
)

// beside puts another sound beside the engine.
func beside(k synth.Kind, below engine.Decibel) func(*synth.Scene, int) {
	return func(s *synth.Scene, _ int) {
		s.Backgrounds = append(s.Backgrounds, synth.Background{Kind: k, Below: below})
	}
}

// damages are those of issue 3, point 2, that need no other program. Known fault:
// where echoes are strong the rise and the fall blur, and the multiple is not always
// told from the others.
var damages = []damage{
	{"none", func(*synth.Scene, int) {}, 0},
	{"voice band 300-3400 Hz", func(s *synth.Scene, _ int) { s.Phone = synth.Telephone() }, 0},
	{"pink noise at 3 dB", beside(synth.Pink, 3), 0},
	{"wind at 0 dB", beside(synth.Wind, 0), 0},
	{"clipped by 14 dB", func(s *synth.Scene, _ int) { s.Phone.Peak = 14 }, 0},
	{"automatic gain", func(s *synth.Scene, _ int) { s.Phone = synth.Handset() }, 0},
	{"hum of 50 Hz at 6 dB", beside(synth.Hum50, 6), 0},
	{"hum of 60 Hz at 6 dB", beside(synth.Hum60, 6), 0},
	{"second engine at 12 dB", func(s *synth.Scene, seed int) {
		s.Backgrounds = append(s.Backgrounds, synth.Background{Kind: synth.SecondEngine, Below: 12, Speed: engine.RPM(5200 + 1900*(seed%3))})
	}, 0},
	{"strong echoes", func(s *synth.Scene, _ int) { s.Room = synth.Shed() }, 83},
	{"starts at full throttle", func(s *synth.Scene, seed int) {
		top := s.Profile.At(3).Speed
		s.Profile = synth.Pieces(top, synth.Piece{Name: synth.FullThrottle, For: 4, To: top * 1.01, Throttle: 1},
			synth.Piece{Name: synth.Fall, For: 1.2, To: 2800, Shape: synth.Decay})
		s.Firing = synth.Always(synth.Every(2+seed%3, 0.2))
	}, 0},
}

// TestDamages holds the speed to the exact truth of made passes that were
// damaged as telephones and places damage them, in the frames in which the engine
// is at least as loud as the rest. With -seeds 30 it prints the table of
// docs/accuracy.md.
func TestDamages(t *testing.T) {
	damages := damages
	if race.Enabled {
		damages = damages[:3]
	}
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
					s.follow(t, render(scene), defaults())
				}
				rows[i] = s.row(d.name)
				s.hold(t, d.gap)
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
	const claimed = 95 // issue 3, point 3
	if percent(covered, fine) < claimed {
		t.Errorf("two standard deviations hold %.1f %% of the errors, %d are claimed", percent(covered, fine), claimed)
	}
}

// hold asserts what is required of the readings, or the floor where that is a
// known gap; see damage.
func (s *passScore) hold(t *testing.T, gap float64) {
	t.Helper()
	if s.frames < 100 || s.plateau < 50 {
		t.Fatalf("only %d frames and %d of the plateau were compared", s.frames, s.plateau)
	}
	want, says := float64(required), "required"
	switch {
	case gap > 0:
		want, says = gap, "the floor of a known gap"
	case *seeds < enough:
		want, says = floor, "the floor over few passes"
	}
	if got := percent(s.close, s.told); got < want {
		t.Errorf("%.1f %% of told frames are within 1 %%, %s is %g", got, says, want)
	}
	least := float64(toldFloor)
	if *seeds < enough {
		least = toldOfFew
	}
	if got := percent(s.told, s.frames); got < least {
		t.Errorf("%.1f %% of frames are told, the floor is %g", got, least)
	}
	if s.multiples > 0 && (gap == 0 || *seeds < enough) {
		t.Errorf("%d of %d frames of the plateau are read at a multiple", s.multiples, s.plateau)
	}
}

// TestEngineAtMains: an engine that happens to turn at the frequency of the
// mains, and wanders as engines do, is not taken for hum.
func TestEngineAtMains(t *testing.T) {
	for _, speed := range []engine.RPM{3000, 3600, 6000} {
		var got passScore
		for seed := range uint64(2) {
			s := synth.NewScene(seed, synth.Steady(speed, 3), synth.Always(synth.Clean()))
			s.Rate = rate
			got.follow(t, render(s), defaults())
		}
		t.Logf("%v rpm: %.1f %% of %d frames told, of these %.1f %% within 1 %%", speed, percent(got.told, got.frames), got.frames, percent(got.close, got.told))
		if close, told := percent(got.close, got.told), percent(got.told, got.frames); close < required || told < toldFloor {
			t.Errorf("%v rpm: %.1f %% of told frames within 1 %%, want %d; %.1f %% told, want %d", speed, close, required, told, toldFloor)
		}
	}
}

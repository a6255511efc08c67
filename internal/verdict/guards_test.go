package verdict

import (
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
)

// TestGuards: what would be safe is not where the sound is broken, the idle is slower
// than any or four-strokes as the top does, no idle shows that so slow a top is right,
// or the speed leaps at the top; and the same pass without that is safe. Idles of 2,000 rpm and more are common
// practice.
func TestGuards(t *testing.T) {
	rich := func(speed, idle engine.RPM) *passtest.Track {
		return passtest.New(1).Hold(2, idle).Ramp(0.4, idle, speed).Fires(2).Hold(3, speed).Fires(1).Ramp(0.8, speed, idle).Hold(2, idle)
	}
	throughout := passtest.New(1).Fires(2).Hold(2, 2800).Ramp(0.4, 2800, 12500).Hold(3, 12500).Ramp(0.8, 12500, 2800).Hold(2, 2800)
	ragged := passtest.New(1).Fires(0).Hold(2, 2800).Fires(2).Ramp(0.4, 2800, 12500).Hold(3, 12500).Ramp(0.8, 12500, 2800).Fires(0).Hold(2, 2800)
	noLimits := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}}
	lost := []quality.Problem{{Code: quality.LostSound, Says: "lost", Do: "again"}}
	for name, c := range map[string]struct {
		track    *passtest.Track
		machine  engine.Machine
		problems []quality.Problem
		safe     bool
	}{
		"a whole pass":                      {rich(12500, 2800), saw(13500), nil, true},
		"with wind":                         {rich(12500, 2800), saw(13500), []quality.Problem{{Code: quality.Wind}}, true},
		"with lost buffers":                 {rich(12500, 2800), saw(13500), lost, false},
		"in slow motion, 0.9":               {rich(12500, 2520), noLimits, nil, true}, // nothing gives it away
		"in slow motion, 0.62":              {rich(8700, 1740), noLimits, nil, false},
		"an idle far under the entered one": {rich(12500, 2000), saw(13500), nil, false},
		"four-stroking at idle as well":     {throughout, saw(13500), nil, false},
		"on the way to it and back alone":   {ragged, saw(13500), nil, true},
		"slow, and an idle at its speed":    {rich(9300, 2800), saw(13500), nil, true},
		"slow, and no idle":                 {passtest.New(1).Fires(2).Hold(3, 9300), noLimits, nil, false},
		"fast, and no idle":                 {passtest.New(1).Fires(2).Hold(3, 12500), noLimits, nil, true},
	} {
		s := example{track: c.track, query: c.machine}.summary()
		v := Judge(s, c.machine, quality.Quality{Problems: c.problems}, Default())
		if v.Code.safe() != c.safe {
			t.Errorf("%s: %s, safe: %v, want %v\n  %s", name, v.Code, v.Code.safe(), c.safe, v.Says)
		}
	}
}

// TestMisfitTurnsNoScrew: where limit and reading do not fit, no step turns a screw.
func TestMisfitTurnsNoScrew(t *testing.T) {
	for name, e := range map[string]example{
		"1350 typed for 13500": {track: level(1, 13100, 3, 1), query: engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 1350}}},
		"half of the limit":    {track: level(2, 6700, 3, 2), query: saw(13500)},
	} {
		for _, step := range e.judge().Advice {
			if strings.Contains(step, "H screw") {
				t.Errorf("%s: %q", name, step)
			}
		}
	}
}

// TestLeapBesideThePlateau: a leap at one end of full throttle is that of the readings
// beyond it where the shaft is followed from its idle to the other; else, or inside of
// it, nothing is called safe.
func TestLeapBesideThePlateau(t *testing.T) {
	phases := []pass.Phase{
		{Kind: pass.Idle, To: 2}, {Kind: pass.Rise, From: 2, To: 2.5}, {Kind: pass.FullThrottle, From: 2.5, To: 5.5},
		{Kind: pass.Fall, From: 5.5, To: 6}, {Kind: pass.ReturnToIdle, From: 6, To: 8},
	}
	for name, c := range map[string]struct {
		jumps []engine.Seconds
		want  bool
	}{
		"none": {nil, false}, "inside": {[]engine.Seconds{3}, true}, "at its end": {[]engine.Seconds{5.5}, false},
		"at its beginning": {[]engine.Seconds{2.5}, false}, "at both": {[]engine.Seconds{2.5, 5.5}, true},
		"at its end, and on the way up": {[]engine.Seconds{2.2, 5.5}, true}, "at its beginning, and on the way down": {[]engine.Seconds{2.5, 6}, true},
		"long before": {[]engine.Seconds{1}, false},
	} {
		f := &facts{Summary: pass.Summary{Phases: phases, Evidence: pass.Evidence{Jumps: c.jumps}}, top: &pass.TopEnd{From: 2.5, To: 5.5}}
		if f.leaps() != c.want {
			t.Errorf("%s: leaps %v, want %v", name, !c.want, c.want)
		}
	}
	f := &facts{
		Summary: pass.Summary{Phases: phases[2:], Evidence: pass.Evidence{Jumps: []engine.Seconds{5.5}}}, top: &pass.TopEnd{From: 2.5, To: 5.5},
	}
	if !f.leaps() {
		t.Error("no idle before it: the leap at its end does not count")
	}
}

// TestAtByItsOwnUncertainty: a top speed as good as at the limit whose uncertainty, as it
// is told, reaches it is at the limit; one further off is not warned of for being
// uncertain.
func TestAtByItsOwnUncertainty(t *testing.T) {
	for _, c := range []struct {
		top  pass.Figure
		want bool
	}{{pass.Figure{Speed: 13400, SD: 60}, true}, {pass.Figure{Speed: 13400, SD: 30}, false}, {pass.Figure{Speed: 13000, SD: 300}, false}} {
		f := &facts{limits: engine.Limits{Max: 13500}, opt: Default()}
		f.TopEnd = &pass.TopEnd{Sustained: c.top}
		if f.at() != c.want {
			t.Errorf("%+v: at the limit %v, want %v", c.top, !c.want, c.want)
		}
	}
}

// TestTouchedByExactReadings: a fifth of a second over the limit warns where its readings
// are exact.
func TestTouchedByExactReadings(t *testing.T) {
	for sd, want := range map[engine.RPM]bool{40: true, 400: false} {
		f := &facts{limits: engine.Limits{Max: 13500}, opt: Default()}
		f.Plateaus = []pass.TopEnd{{Brief: pass.Figure{Speed: 15000, SD: sd}}}
		if got := f.touched() != nil; got != want {
			t.Errorf("± %.0f: touched %v, want %v", float64(sd), got, want)
		}
	}
}

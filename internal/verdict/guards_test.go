package verdict

import (
	"strings"
	"testing"

	"topnote/internal/engine"
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

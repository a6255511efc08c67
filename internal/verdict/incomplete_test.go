package verdict

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
	"topnote/internal/shaft"
)

// TestIncomplete: what was left out of a pass is told from the track.
func TestIncomplete(t *testing.T) {
	from := func() *passtest.Track { return passtest.New(1).Hold(2, 2800).Ramp(0.4, 2800, 12500) }
	back := func(p *passtest.Track) shaft.Track { return p.Ramp(1, 12500, 2800).Hold(2, 2800).Build() }
	for name, c := range map[string]struct {
		track shaft.Track
		want  []quality.Code
	}{
		"whole pass":               {back(from().Hold(3, 12500)), nil},
		"three seconds of it":      {from().Hold(0.6, 12500).Build(), []quality.Code{quality.TooShort}},
		"full throttle of a blip":  {back(from().Hold(0.8, 12500)), []quality.Code{quality.ShortPlateau}},
		"idle only":                {passtest.New(1).Hold(6, 2800).Build(), []quality.Code{quality.ShortPlateau}},
		"full throttle only":       {passtest.New(1).Hold(6, 12500).Build(), []quality.Code{quality.NoIdle}},
		"idle at the end only":     {back(passtest.New(1).Hold(3, 12500)), nil},
		"long enough second time":  {back(from().Hold(0.8, 12500).Ramp(1, 12500, 2800).Hold(1, 2800).Ramp(0.4, 2800, 12500).Hold(3, 12500)), nil},
		"no engine, long enough":   {passtest.New(1).Quiet(6).Build(), nil},
		"no engine, three seconds": {passtest.New(1).Quiet(3).Build(), []quality.Code{quality.TooShort}},
	} {
		length := engine.Seconds(len(c.track.Points)) * c.track.Hop
		var got []quality.Code
		for _, p := range Incomplete(pass.Summarise(c.track, nil, engine.Machine{Spec: engine.TwoStrokeSingle}, pass.Default()), length, Default()) {
			got = append(got, p.Code)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// TestIncompleteDocs: docs/recording.md says of each gap what the program does.
func TestIncompleteDocs(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "recording.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range gaps {
		row := regexp.MustCompile("(?m)^\\| `" + string(g.code) + "` \\| .+ \\| (.+) \\|$").FindStringSubmatch(string(page))
		if do := g.says(&completeness{opt: Default()}).Do; row == nil || row[1] != do {
			t.Errorf("%s: the page says %q, the program %q", g.code, row, do)
		}
	}
}

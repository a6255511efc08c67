package measure_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"topnote/internal/race"
	"topnote/internal/synth"
)

var update = flag.Bool("update", false, "write the sweep of the H screw into docs/ anew (30 s of one core)")

// docs is the folder of the pages.
var docs = filepath.Join("..", "..", "docs")

// The sweep that docs/verdicts.md shows: the saw as designed, with the speeds
// that its maker might print.
const sweepSeed = 500

var sweepLimits = synth.Limits{Max: 14000, Idle: 2800, Clutch: 3700}

// setting is what one setting of the H screw got at one load.
type setting struct {
	Eighths  int     `json:"eighths"` // out from the leanest setting
	Richness float64 `json:"richness"`
	Load     float64 `json:"load"`
	Code     string  `json:"code"`
	Truly    string  `json:"truly"` // what synth.Deserve says
	Near     bool    `json:"near"`  // Code and Truly lie on either side of a line that the truth is close to

	HeldRPM float64  `json:"held_rpm"`
	SDRPM   float64  `json:"sd_rpm"`
	Four    float64  `json:"four_stroking_share"`
	CutRPM  *float64 `json:"cut_rpm"` // nil: no cut was heard
	CutFour *float64 `json:"cut_four_stroking_share"`
}

func sweepTunes() []synth.Tune {
	var tunes []synth.Tune
	for _, load := range synth.SweepLoads() {
		tunes = append(tunes, synth.Sweep(synth.DesignSaw(), load, sweepLimits, sweepSeed)...)
	}
	return tunes
}

// judged measures one setting through the whole program.
func judged(t *testing.T, tune synth.Tune) setting {
	t.Helper()
	r := measureScene(t, tune.Scene(), tune.Limits).Report
	d := synth.Deserve(tune.Run(), tune.Limits)
	s := setting{
		Eighths:  int((tune.Richness - synth.VeryLean) / synth.EighthTurn),
		Richness: math.Round(1000*tune.Richness) / 1000, Load: tune.Load, Code: r.Verdict.Code, Truly: d.Code,
		Near: r.Verdict.Code != d.Code && slices.Contains(d.Allows, r.Verdict.Code),
	}
	if r.TopEnd != nil {
		s.HeldRPM, s.SDRPM, s.Four = float64(r.TopEnd.SustainedRPM), r.TopEnd.SDRPM, r.TopEnd.FourStrokingShare
	}
	if r.Cut != nil {
		speed, four := float64(r.Cut.RPM), r.Cut.FourStrokingShare
		s.CutRPM, s.CutFour = &speed, &four
	}
	return s
}

// like reports whether two say the same to a reader of the table: the same
// verdicts, speeds within their give or take, shares nearly.
func (s setting) like(o setting) bool {
	const little = 0.15 // of the time; close to a line the share of four-stroking moves with every change of the tracker
	return s.Richness == o.Richness && s.Load == o.Load && s.Code == o.Code && s.Truly == o.Truly &&
		math.Abs(s.HeldRPM-o.HeldRPM) <= 2*o.SDRPM && math.Abs(s.Four-o.Four) <= little && (s.CutRPM == nil) == (o.CutRPM == nil)
}

// TestSweepDocs holds the table and the picture in docs/verdicts.md to the
// program: every 17th setting is measured again, all of them with -update,
// which writes docs/sweep.json, the table and the picture.
func TestSweepDocs(t *testing.T) {
	t.Parallel()
	every := race.Fewer(17, 54)
	kept := filepath.Join(docs, "sweep.json")
	tunes := sweepTunes()
	if *update {
		all := make([]setting, len(tunes))
		for i, tune := range tunes {
			all[i] = judged(t, tune)
		}
		writeFile(t, kept, marshal(t, all))
	}
	data, err := os.ReadFile(kept)
	if err != nil {
		t.Fatal(err)
	}
	var all []setting
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	if len(all) != len(tunes) {
		t.Fatalf("docs/sweep.json has %d settings, the sweep has %d; -update writes it anew", len(all), len(tunes))
	}
	for i := 0; i < len(tunes) && !*update; i += every {
		if got, want := judged(t, tunes[i]), all[i]; !got.like(want) {
			t.Errorf("docs/sweep.json has\n%sthe program now gives\n%s-update writes it anew", marshal(t, want), marshal(t, got))
		}
	}
	checkSweepTable(t, sweepTable(all))
	checkSweepPicture(t, drawSweep(t, all))
}

func marshal(t *testing.T, v any) []byte {
	t.Helper()
	data, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return append(data, '\n')
}

func writeFile(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// blockOf parts a page at two marks: what is before the end of the first, what
// is between them, and what is from the second on.
func blockOf(t *testing.T, path, begin, end string) (before, block, after string) {
	t.Helper()
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, found := strings.Cut(string(page), begin)
	block, after, closed := strings.Cut(rest, end)
	if !found || !closed {
		t.Fatalf("%s has no place between %q and %q", path, begin, end)
	}
	return before + begin, block, end + after
}

// sweepTable gives the table of the page: a row for each setting, richest
// first; where the verdict is not the one that is deserved, that one is
// beside it.
func sweepTable(all []setting) string {
	var b strings.Builder
	b.WriteString("| H, eighths of a turn out | fuel to air | held, rpm | four-strokes | no cut | half load | | full load | |\n")
	b.WriteString("| ---: | ---: | ---: | ---: | --- | --- | --- | --- | --- |\n")
	loads := len(synth.SweepLoads())
	steps := len(all) / loads
	for i := range steps {
		free := all[i]
		fmt.Fprintf(&b, "| %d | %.2f | %.0f | %.0f %% |", free.Eighths, free.Richness, free.HeldRPM, 100*free.Four)
		for k := range loads {
			s := all[k*steps+i]
			fmt.Fprintf(&b, " `%s`", s.Code)
			switch {
			case s.Near:
				fmt.Fprintf(&b, " (close to `%s`)", s.Truly)
			case s.Code != s.Truly:
				fmt.Fprintf(&b, " (**wrong**: `%s`)", s.Truly)
			}
			if k > 0 {
				b.WriteString(" | " + cutWords(s))
			}
			b.WriteString(" |")
		}
		b.WriteString("\n")
	}
	return b.String()
}

func cutWords(s setting) string {
	if s.CutRPM == nil {
		return "not heard"
	}
	return fmt.Sprintf("%.0f rpm, four-strokes %.0f %%", *s.CutRPM, 100**s.CutFour)
}

// checkSweepTable holds the block of the page to the table; -update writes it.
func checkSweepTable(t *testing.T, table string) {
	t.Helper()
	path := filepath.Join(docs, "verdicts.md")
	before, old, after := blockOf(t, path, "<!-- sweep -->\n", "<!-- end -->")
	switch {
	case old == table:
	case *update:
		writeFile(t, path, []byte(before+table+after))
	default:
		t.Errorf("docs/verdicts.md does not show docs/sweep.json; -update writes it anew")
	}
}

// checkSweepPicture holds the picture of the page to what would be drawn;
// -update writes it. Another processor may round the edge of a line otherwise.
func checkSweepPicture(t *testing.T, drawn []byte) {
	t.Helper()
	path := filepath.Join(docs, "sweep.png")
	if *update {
		writeFile(t, path, drawn)
		return
	}
	kept, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	a, b := pixels(t, kept), pixels(t, drawn)
	if a.Bounds() != b.Bounds() {
		t.Fatalf("docs/sweep.png measures %v, it would now be %v; -update writes it anew", a.Bounds(), b.Bounds())
	}
	const differs, most = 0x2000, 0.001 // of a channel's 0xffff; of all pixels
	off := 0
	for i := range a.Bounds().Dx() * a.Bounds().Dy() {
		x, y := i%a.Bounds().Dx(), i/a.Bounds().Dx()
		r, g, bl, _ := a.At(x, y).RGBA()
		r2, g2, b2, _ := b.At(x, y).RGBA()
		if max(apart(r, r2), apart(g, g2), apart(bl, b2)) > differs {
			off++
		}
	}
	if float64(off) > most*float64(a.Bounds().Dx()*a.Bounds().Dy()) {
		t.Errorf("docs/sweep.png differs in %d pixels from what docs/sweep.json gives; -update writes it anew", off)
	}
}

func pixels(t *testing.T, data []byte) image.Image {
	t.Helper()
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func apart(a, b uint32) uint32 { return max(a, b) - min(a, b) }

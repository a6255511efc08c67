package measure_test

import (
	"bytes"
	"errors"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"topnote/internal/entry"
	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/spectrum"
	"topnote/internal/synth"
)

// once holds the shipped passes that several tests look at, each measured once, by
// name.
var once sync.Map // of func() (measure.Measurement, error)

// measured gives shipped passes as measured with one entered limit for all. Tests
// share them, so they may not be closed.
func measured(t *testing.T, names ...string) []measure.Measurement {
	t.Helper()
	var all []measure.Measurement
	for _, name := range names {
		f, _ := once.LoadOrStore(name, sync.OnceValues(func() (measure.Measurement, error) {
			return measure.File(filepath.Join(samples, name+".wav"), queryOf(synth.Limits{Max: 13500, Idle: 2800}))
		}))
		m, err := f.(func() (measure.Measurement, error))()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, m)
	}
	return all
}

// TestCompare: of the shipped passes, the lean one is leaner than the rich one
// (samples/README.md), its half orders are weaker against the whole ones, and
// the picture says so.
func TestCompare(t *testing.T) {
	c, err := measure.Compare(measured(t, "rich", "over", "birdsong"))
	if err != nil {
		t.Fatal(err)
	}
	r := c.Report
	if len(r.Passes) != 3 || len(r.Pairs) != 2 {
		t.Fatalf("%d passes and %d pairs, want 3 and 2", len(r.Passes), len(r.Pairs))
	}
	if got := r.Pairs[0]; got.Mixture != "leaner" || !strings.HasPrefix(got.Says, "At full throttle without load the second runs 1,4") {
		t.Errorf("over.wav against rich.wav: %s: %s", got.Mixture, got.Says)
	}
	if got := r.Pairs[1]; got.Mixture != "unclear" || !strings.Contains(got.Says, "the third") {
		t.Errorf("birdsong against an engine: %s: %s", got.Mixture, got.Says)
	}
	if r.Passes[2].Orders != nil || r.Passes[2].OpensAtS != nil {
		t.Error("birdsong has a plateau")
	}
	half := func(pass int) float64 { // strength of order 1.5 against order 1
		l := r.Passes[pass].Orders.LevelsDB
		return l[spectrum.LinesPerOrder*3/2-1] - l[spectrum.LinesPerOrder-1]
	}
	if rich, lean := half(0), half(1); rich < lean+6 {
		t.Errorf("order 1.5 stands at %.1f dB of order 1 in the rich pass and %.1f in the lean one", rich, lean)
	}
	var svg bytes.Buffer
	if err := c.Draw(&svg, picture.SVG, picture.ComparisonSize(3)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(svg.String(), "<title>3 passes side by side; the second pass is at or over the limit</title>") {
		t.Error("the picture lacks its title")
	}
}

func TestCompareRefuses(t *testing.T) {
	for _, n := range []int{0, 1, 7} {
		var refusal *entry.Refusal
		if _, err := measure.Compare(make([]measure.Measurement, n)); !errors.As(err, &refusal) {
			t.Errorf("%d passes give %v", n, err)
		}
	}
}

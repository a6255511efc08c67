package book

import (
	"bytes"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/report"
)

// TestTachometer: what a tachometer showed is kept with the pass and goes through an
// export; how far it is from the sound follows from the figures that are shown.
func TestTachometer(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	if err := b.AddMachine(madeMachine("saw")); err != nil {
		t.Fatal(err)
	}
	for day, showed := range []report.Speed{12650, 0} {
		p := madePass("saw", string(rune('a'+day)), day, 12604)
		p.TachometerRPM = showed
		if _, err := b.AddPass(p, false); err != nil {
			t.Fatal(err)
		}
	}
	text := exported(t, b)
	if n := strings.Count(text, `"tachometer_rpm":12650`); n != 1 || strings.Count(text, "tachometer_rpm") != 1 {
		t.Errorf("the export has it %d times: %s", n, text)
	}
	into, err := Create(filepath.Join(t.TempDir(), "into.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	if _, err := importInto(into, strings.NewReader(text), false); err != nil {
		t.Fatal(err)
	}
	passes, err := into.Passes("saw")
	if err != nil || len(passes) != 2 {
		t.Fatalf("%d passes, %v", len(passes), err)
	}
	if off, told := passes[0].TachometerOff(); !told || off != 50 || passes[0].TachometerRPM != 12650 {
		t.Errorf("%v off, %v, of %v", off, told, passes[0].TachometerRPM)
	}
	if off, told := passes[1].TachometerOff(); told || off != 0 {
		t.Errorf("%v off where none was noted", off)
	}
	var shown bytes.Buffer
	if err := passes[0].WriteText(&shown, report.TextStyle{Columns: 80, Short: true}); err != nil || !strings.Contains(shown.String(), "12,650 rpm, 50 rpm above that read from the sound") {
		t.Errorf("%v: %s", err, shown.String())
	}
}

// TestTachometerRefused: no tachometer shows these.
func TestTachometerRefused(t *testing.T) {
	t.Parallel()
	for _, v := range []float64{-1, 0.5, 1e6, math.NaN(), math.Inf(1)} {
		p := madePass("saw", "a", 0, 12600)
		p.TachometerRPM = report.Speed(v)
		var problem *Problem
		if err := p.check(); !errors.As(err, &problem) || !strings.Contains(problem.Says, "tachometer") {
			t.Errorf("%v: %v", v, err)
		}
	}
}

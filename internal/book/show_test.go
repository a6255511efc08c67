package book

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"topnote/internal/air"
	"topnote/internal/report"
)

// TestShowFitsATerminal: whatever was noted with a pass of any sample, what is shown of it
// without --full has 24 lines at most, and the screws among them.
func TestShowFitsATerminal(t *testing.T) {
	t.Parallel()
	goldens, err := filepath.Glob(filepath.Join("..", "..", "testdata", "golden", "*.json"))
	if err != nil || len(goldens) < 10 {
		t.Fatalf("%d reports, %v", len(goldens), err)
	}
	reading, err := air.ParseReading("temp=8 rh=80 altitude=120")
	if err != nil {
		t.Fatal(err)
	}
	turn := Turns(1.25)
	note := strings.Repeat("new filter, old one was torn; ", 12)
	for _, path := range goldens {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		r, err := report.ReadJSON(f)
		f.Close() // only read from
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		p := Pass{
			Number: 1, ReplacedBy: 2, Machine: "bench saw", Recorded: time.Now(), Entered: time.Now(), Report: r, Air: &reading,
			Screws: Screws{H: &turn, L: &turn, Idle: &turn}, FilterNote: note, FuelNote: note, Who: "Kim", TachometerRPM: 12600,
		}
		for _, short := range []bool{true, false} {
			var text strings.Builder
			if err := p.WriteText(&text, report.TextStyle{Columns: report.DefaultColumns, Short: short}); err != nil {
				t.Fatal(err)
			}
			if n := strings.Count(text.String(), "\n"); short && n > report.ShortLines {
				t.Errorf("%s: %d lines\n%s", path, n, text.String())
			}
			if !strings.Contains(text.String(), "H 1 1/4, L 1 1/4 turns out") || strings.Contains(text.String(), "Kim") == short {
				t.Errorf("%s, short %v: not what was noted\n%s", path, short, text.String())
			}
		}
	}
}

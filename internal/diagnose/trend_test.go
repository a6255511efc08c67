package diagnose

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"topnote/internal/book"
	"topnote/internal/report"
)

// TestTrendCorrection: in thin air the machine ran slower than it would in
// standard air, so its speed is corrected upwards, and in dense air downwards; in
// standard air not at all.
func TestTrendCorrection(t *testing.T) {
	t.Parallel()
	passes := written(
		step{air: "temp=15 rh=0 altitude=0"}, step{day: 1, air: "temp=35 rh=60 altitude=1200"}, step{day: 2, air: "temp=-10 rh=60 altitude=0"},
		step{day: 3, code: codeSpark}, step{day: 4})
	passes[4].Air = nil
	trend := NewTrend(madeMachine("saw"), passes, Default())
	got := trend.Passes
	if len(got) != 5 {
		t.Fatalf("%d passes", len(got))
	}
	if got[0].CorrectedRPM != 12600 || *got[0].LeanerPct != 0 {
		t.Errorf("in standard air: %v, %v %%", got[0].CorrectedRPM, *got[0].LeanerPct)
	}
	if *got[1].LeanerPct >= 0 || got[1].CorrectedRPM <= 12600 || *got[2].LeanerPct <= 0 || got[2].CorrectedRPM >= 12600 {
		t.Errorf("hot and high %v, cold %v", got[1], got[2])
	}
	for _, p := range got[:3] {
		// By hand: measured, less shift times the response that is told, both of which
		// are rounded.
		want := 12600 - *p.LeanerPct*trend.Response.PerPercent
		rounding := 0.5 + 0.5*math.Abs(*p.LeanerPct) + 0.005*trend.Response.PerPercent
		if math.Abs(float64(p.CorrectedRPM)-want) > rounding || p.CorrectedSDRPM < p.SDRPM {
			t.Errorf("pass %d: %v sd %v, by hand %v", p.Number, p.CorrectedRPM, p.CorrectedSDRPM, want)
		}
	}
	if got[3].CorrectedRPM.Told() || got[3].LeanerPct == nil || got[4].CorrectedRPM.Told() || got[4].LeanerPct != nil {
		t.Errorf("a pinned speed %+v, no air %+v", got[3], got[4])
	}
	if says := strings.Join(trend.Notes, " "); !strings.Contains(says, "2 passes are not corrected") || !strings.Contains(says, "common practice") ||
		!strings.Contains(says, "no law is known") {
		t.Errorf("notes: %s", says)
	}
}

// TestTrendForms: the three forms have the same figures.
func TestTrendForms(t *testing.T) {
	t.Parallel()
	passes := written(step{}, step{day: 20, top: 12710, h: 1.375}, step{day: 40, code: codeNotEnough})
	passes[2].Report.TopEnd, passes[2].Report.Idle = nil, nil
	trend := NewTrend(madeMachine("bench saw"), passes, Default())
	var text, table, one bytes.Buffer
	if err := trend.WriteText(&text, 80, true); err != nil {
		t.Fatal(err)
	}
	if err := trend.WriteCSV(&table); err != nil {
		t.Fatal(err)
	}
	if err := trend.WriteJSON(&one); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&table).ReadAll()
	if err != nil || len(rows) != 4 || rows[2][2] != "12710" || rows[2][8] != "1.375" || rows[3][2] != "" || rows[3][7] != "" {
		t.Errorf("%v, %v", rows, err)
	}
	var back Trend
	if err := json.Unmarshal(one.Bytes(), &back); err != nil || back.Schema != TrendSchema || back.Passes[1].SustainedRPM != 12710 || back.Passes[2].IdleRPM != 0 {
		t.Errorf("%v, %+v", err, back)
	}
	for _, want := range []string{"bench saw: 3 passes, limit 13,500 rpm.", "12,710", "2026-03-21", "not-enough", "Leave H until a pass can be judged", "- The maker's handbook comes first."} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("no %q in\n%s", want, text.String())
		}
	}
	for _, line := range strings.Split(text.String(), "\n") {
		if len([]rune(line)) > 80 {
			t.Errorf("a line of %d characters: %s", len([]rune(line)), line)
		}
	}
	var none bytes.Buffer
	if err := NewTrend(book.Machine{Name: "new"}, nil, Default()).WriteText(&none, 80, true); err != nil || !strings.Contains(none.String(), "new: 0 passes") {
		t.Errorf("%v, %q", err, none.String())
	}
}

// TestFourStrokeEngine: its speed is governed, so nothing is made of it.
func TestFourStrokeEngine(t *testing.T) {
	t.Parallel()
	passes := written(step{}, step{day: 1, top: 12900})
	for i := range passes {
		passes[i].Report.Engine = report.Engine{Strokes: 4, Cylinders: 1}
	}
	_, err := Why(passes, 2, 0, Default())
	wantRefused(t, err, "four-stroke")
	trend := NewTrend(madeMachine("saw"), passes, Default())
	if trend.Passes[0].CorrectedRPM.Told() || trend.Next.Turns != 0 {
		t.Errorf("got %+v", trend)
	}
}

// TestTachometers: the book says how well tachometer and sound agree.
func TestTachometers(t *testing.T) {
	passes := written(cleanPass(0, 13110), cleanPass(1, 13000), cleanPass(2, 12900))
	trend := func() Trend { return NewTrend(madeMachine("saw"), passes, Default()) }
	if got := trend().Agrees; got != "" {
		t.Errorf("said %q where none was noted", got)
	}
	passes[0].TachometerRPM = passes[0].Report.TopEnd.SustainedRPM + 40
	if got := trend().Agrees; got != "Tachometer: noted with 1 pass, 40 rpm from the sound." {
		t.Errorf("said %q", got)
	}
	passes[2].TachometerRPM = passes[2].Report.TopEnd.SustainedRPM - 100
	if got := trend().Agrees; got != "Tachometer: noted with 2 passes, on average 30 rpm below the sound, at most 100 rpm from it." {
		t.Errorf("said %q", got)
	}
}

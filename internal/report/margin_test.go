package report_test

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/report"
)

// figure finds the figure in rpm that stands where pattern has its group.
func figure(t *rapid.T, text, pattern string) float64 {
	t.Helper()
	found := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if found == nil {
		t.Fatalf("no %s in\n%s", pattern, text)
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(found[1], ",", ""), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestFiguresFollow: whoever subtracts the top speed that is shown from the limit that
// is shown finds the margin that is shown, in every form; so it is with the idle and
// the clutch, and with the shares of the firing.
func TestFiguresFollow(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := madeParts()
		top := rapid.Float64Range(2000, 20000).Draw(t, "top")
		limit := rapid.Float64Range(2000, 20000).Draw(t, "limit")
		p.Query.Limits.Max, p.Verdict.Says = engine.RPM(limit), "Said."
		p.Pass.TopEnd.Sustained = pass.Figure{Speed: engine.RPM(top), SD: 20}
		p.Pass.TopEnd.FourStroking = rapid.Float64Range(0, 1).Draw(t, "four-stroking")
		p.Pass.TopEnd.Clean = 1 - p.Pass.TopEnd.FourStroking
		p.Query.Limits.Clutch = engine.RPM(rapid.Float64Range(2000, 5000).Draw(t, "clutch"))
		r := report.New(p)

		var text, table bytes.Buffer
		if err := report.WriteText(&text, r, report.TextStyle{Columns: 400}); err != nil {
			t.Fatal(err)
		}
		if err := report.WriteTable(&table, []report.Outcome{{File: "x", Report: &r}}, report.TextStyle{Columns: 200}); err != nil {
			t.Fatal(err)
		}
		shown := figure(t, text.String(), `top speed\s+([\d,]+) ±`)
		want := math.Abs(shown - figure(t, text.String(), `the limit of ([\d,]+) rpm`))
		if want > 0 {
			if got := figure(t, text.String(), `([\d,]+) rpm \([\d.]+ %\) (?:above|below) the limit`); got != want {
				t.Errorf("the text has %v from the limit, and %v follows", got, want)
			}
		} else if !regexp.MustCompile(`just (above|below) the limit`).MatchString(text.String()) {
			t.Errorf("at the limit the text says\n%s", text.String())
		}
		if got := figure(t, table.String(), `± \d+\s+[+−]?([\d,]+)`); got != want {
			t.Errorf("the table has %v from the limit, and %v follows", got, want)
		}
		large := report.NewView(r).Large
		if got := figure(t, large[2].Value, `([\d,]+)`); got != want {
			t.Errorf("the page has %v from the limit, and %v follows", got, want)
		}
		four, clean := figure(t, text.String(), `four-stroking (\d+)`), figure(t, text.String(), `clean (\d+) %`)
		notTold := 0.0
		if strings.Contains(text.String(), "not told") { // nothing is said of nothing
			notTold = figure(t, text.String(), `not told (\d+) %`)
		}
		if notTold != math.Max(0, 100-four-clean) {
			t.Errorf("four-stroking %v, clean %v, not told %v", four, clean, notTold)
		}
	})
}

// TestDifferencesFollow: the difference of two passes is that of the figures shown
// beside it.
func TestDifferencesFollow(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		first := rapid.Float64Range(3000, 20000).Draw(t, "first")
		second := first + rapid.Float64Range(-2000, 2000).Draw(t, "more")
		by, sd := second-first, 1.0
		tell := report.TellMore
		if by < 0 {
			tell = report.TellLess
		}
		c := report.Comparison{Pairs: []report.Pair{{Pass: 2, Differences: []report.Difference{
			{Figure: "held", Unit: "rpm", First: &first, Second: &second, By: &by, SD: &sd, Tell: tell},
		}}}}
		var text bytes.Buffer
		if err := report.WriteComparisonText(&text, c, report.TextStyle{Columns: 100}); err != nil {
			t.Fatal(err)
		}
		row := `top speed\s+([\d,]+) rpm\s+([\d,]+) rpm\s+[+−]([\d,]+) ±`
		found := regexp.MustCompile(row).FindStringSubmatch(text.String())
		if found == nil {
			t.Fatalf("no row in\n%s", text.String())
		}
		var n [3]float64
		for i := range n {
			n[i], _ = strconv.ParseFloat(strings.ReplaceAll(found[i+1], ",", ""), 64)
		}
		if math.Abs(n[1]-n[0]) != n[2] {
			t.Errorf("%v and %v differ by %v", n[0], n[1], n[2])
		}
	})
}

// TestShortText: the short text keeps to a terminal's screen with the longest
// sentences that there are, and has the verdict, the speed, the first step and a
// caution; the rest is counted.
func TestShortText(t *testing.T) {
	t.Parallel()
	p := madeParts()
	sentence := strings.TrimSpace(strings.Repeat("A long sentence of the longest kind there is. ", 8))
	p.Verdict.Says = sentence
	p.Verdict.Advice = []string{strings.Repeat("Open the H screw by an eighth. ", 10), "Then again."}
	for range 5 {
		p.Verdict.Cautions = append(p.Verdict.Cautions, sentence)
		p.Quality.Problems = append(p.Quality.Problems, p.Quality.Problems...)
	}
	r := report.New(p)
	text := asText(t, r, report.TextStyle{Columns: report.DefaultColumns, Short: true})
	if lines := strings.Count(text, "\n"); lines > report.ShortLines {
		t.Errorf("%d lines:\n%s", lines, text)
	}
	oneLine := strings.Join(strings.Fields(text), " ")
	for _, want := range []string{sentence, r.TopEnd.SustainedRPM.Reading(), "the limit of", "Open the H screw", r.Verdict.Cautions[0], "--full"} {
		if !strings.Contains(oneLine, want) {
			t.Errorf("it lacks %q:\n%s", want, text)
		}
	}
	if strings.Contains(text, "Then again") {
		t.Errorf("it has the second step:\n%s", text)
	}
}

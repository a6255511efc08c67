package air_test

import (
	"bytes"
	"strings"
	"testing"

	"topnote/internal/air"
)

// TestViewIsTheText: what a page shows of a result is in the text as well,
// figure by figure.
func TestViewIsTheText(t *testing.T) {
	now, err := air.ParseReading("temp=31 rh=60 altitude=850")
	if err != nil {
		t.Fatal(err)
	}
	then, err := air.ParseReading("temp=8 rh=80 altitude=120 qnh=1020")
	if err != nil {
		t.Fatal(err)
	}
	o := air.Default()
	a, err := now.Air(o)
	if err != nil {
		t.Fatal(err)
	}
	b, err := then.Air(o)
	if err != nil {
		t.Fatal(err)
	}
	result, err := air.Assess(a, &b, &air.Filter{}, o)
	if err != nil {
		t.Fatal(err)
	}
	for _, u := range []air.Units{air.Metric, air.US} {
		var text bytes.Buffer
		if err := result.WriteText(&text, u, true); err != nil {
			t.Fatal(err)
		}
		whole := strings.Join(strings.Fields(text.String()), " ")
		says := append([]string{result.Headline(u), result.Causes()}, result.FilterSays(u)...)
		for _, row := range result.Rows(u) {
			says = append(says, strings.Join(row, " "))
		}
		if len(says) < 8 {
			t.Errorf("only %d things to show", len(says))
		}
		for _, s := range says {
			if !strings.Contains(whole, strings.Join(strings.Fields(s), " ")) {
				t.Errorf("%q is not in the text", s)
			}
		}
	}
}

// TestReadingText: a reading in words has the figures in the units that were asked
// for.
func TestReadingText(t *testing.T) {
	r, err := air.ParseReading("temp=46F dew-point=40F altitude=390ft qnh=30.05inHg")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := r.Text(air.US), "46 °F, dew point 40 °F, height 390 ft, sea-level pressure 30.05 inHg"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestShortTextFitsATerminal: without --full a result has 24 lines at most and the first
// step among them, whichever way the mixture went, with a filter or without.
func TestShortTextFitsATerminal(t *testing.T) {
	t.Parallel()
	days := []string{"", "temp=8 rh=80 altitude=120", "temp=31 altitude=850", "temp=20 rh=50 altitude=0", "temp=35 rh=90 altitude=2500", "temp=-5 dew-point=-8 altitude=100 qnh=1030"}
	for _, now := range days[1:] {
		for _, then := range days {
			for _, filter := range []*air.Filter{nil, {}, new(filterOf(1000, 4000))} {
				for _, u := range []air.Units{air.Metric, air.US} {
					r := assess(t, now, then, filter)
					var text bytes.Buffer
					if err := r.WriteText(&text, u, false); err != nil {
						t.Fatal(err)
					}
					first, _, _ := strings.Cut(r.Advice()[0], " ")
					if n := strings.Count(text.String(), "\n"); n > 24 || !strings.Contains(text.String(), "What to do\n- "+first) {
						t.Errorf("%s since %q: %d lines\n%s", now, then, n, text.String())
					}
				}
			}
		}
	}
}

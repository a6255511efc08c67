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

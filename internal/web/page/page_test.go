package page

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/picture"
	"topnote/internal/report"
)

// TestPageColours: the style sets every colour that our pictures ask for in both
// palettes; in the light they are the same.
func TestPageColours(t *testing.T) {
	style, err := files.ReadFile("static/style.css")
	if err != nil {
		t.Fatal(err)
	}
	light, dark, ok := strings.Cut(string(style), "prefers-color-scheme: dark")
	if !ok {
		t.Fatal("no dark palette")
	}
	for property, c := range picture.Properties() {
		if want := fmt.Sprintf("%s: #%02x%02x%02x;", property, c.R, c.G, c.B); !strings.Contains(light, want) {
			t.Errorf("the light palette lacks %q", want)
		}
		if !strings.Contains(dark, property+": #") {
			t.Errorf("the dark palette lacks %s", property)
		}
	}
}

func TestWithoutStyles(t *testing.T) {
	got := withoutStyles([]byte("<path d=\"M0 0\"\n style=\"fill:none;stroke:var(--speed,#104682);font-family:'A B',Arial\" />"))
	want := `<path d="M0 0" fill="none" stroke="var(--speed,#104682)" font-family="'A B',Arial" />`
	if string(got) != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// TestScale: whatever the speeds, the scale shows the held speed, the limit and
// some figures, on the side where they belong.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		held := rapid.Float64Range(1000, 25000).Draw(t, "held")
		limit := rapid.Float64Range(1000, 25000).Draw(t, "limit")
		s := newScale(report.Report{
			Limits: report.Limits{MaxRPM: report.Speed(limit)},
			TopEnd: &report.TopEnd{SustainedRPM: report.Speed(held), SDRPM: rapid.Float64Range(1, 60).Draw(t, "sd")},
		})
		middle := s.From + s.Width/2
		for what, x := range map[string]float64{"speed": middle, "limit": s.Limit} {
			if x < 0 || x > scaleWidth {
				t.Fatalf("the %s stands at %g", what, x)
			}
		}
		if (middle < s.Limit) != (held < limit) && (held-limit > 10 || limit-held > 10) {
			t.Fatalf("%.0f stands at %g, the limit of %.0f at %g", held, middle, limit, s.Limit)
		}
		names := 0
		for _, tick := range s.Ticks {
			if tick.X < -1 || tick.X > scaleWidth+1 {
				t.Fatalf("a mark at %g", tick.X)
			}
			if tick.Name != "" {
				names++
			}
		}
		if names < 1 || names > 6 || len(s.Ticks) > 32 {
			t.Fatalf("%d names of %d marks", names, len(s.Ticks))
		}
	})
	if newScale(report.Report{}) != nil || newScale(report.Report{TopEnd: &report.TopEnd{SustainedRPM: 9000}}) != nil {
		t.Error("a scale without speed or limit")
	}
}

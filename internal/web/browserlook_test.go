package web

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestVerdictPages opens the pages of other verdicts: one to change something,
// one without a limit, one with nothing to draw.
func TestVerdictPages(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 360, 740)
	for _, tt := range []struct{ sample, limit, headline, colour string }{
		{"clean.wav", "13500", "Clean without load, lean side", "rgb(122, 82, 0)"},
		{"over.wav", "13500", "Over the limit", "rgb(176, 36, 20)"},
		{"good-in-cut.wav", "", "No limit entered", "rgb(28, 33, 38)"},
		{"birdsong.wav", "13500", "No engine heard", "rgb(28, 33, 38)"},
	} {
		b.measured(excerptFile(t, tt.sample), tt.limit)
		if got := b.text("h1"); strings.TrimSpace(got) != tt.headline {
			t.Errorf("%s: the headline is %q", tt.sample, got)
		}
		if got := eval[string](b, `getComputedStyle(document.querySelector("h1")).color`); got != tt.colour {
			t.Errorf("%s: the headline is %s, want %s", tt.sample, got, tt.colour)
		}
		b.fits("the page of " + tt.sample)
		b.shoot("verdict-" + strings.TrimSuffix(tt.sample, ".wav"))
	}

	// Without a limit it is entered on the result, and the recording judged again.
	b.measured(excerptFile(t, "good-in-cut.wav"), "")
	before := eval[string](b, `location.pathname`)
	b.do(chromedp.SetValue(chromedp.CSS("#again #limit"), "13500"), chromedp.Click(chromedp.CSS("#again button")))
	b.until(fmt.Sprintf(`location.pathname !== %q && !!document.querySelector("#track")`, before))
	if got := b.text("h1"); !strings.Contains(got, "Four-stroking, safe side") {
		t.Errorf("judged again, it says %q", got)
	}
}

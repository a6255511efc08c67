package report

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
)

// percentAfter gives the first percentage after some words, 0 where they are not there.
func percentAfter(says, words string) (percent int) {
	m := regexp.MustCompile(words + ` (\d+) %`).FindStringSubmatch(says)
	if m == nil {
		return 0
	}
	percent, _ = strconv.Atoi(m[1]) // digits
	return percent
}

// TestSharesAddUp: whatever the shares are, those that stand side by side add up to their
// whole, each within 1 % of what it is, and four-stroking is what sentences call it.
func TestSharesAddUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var top TopEnd
		left := 1000 // in the thousandths of JSON
		for n := range top.FiringShares {
			part := left
			if n < len(top.FiringShares)-1 {
				part = rapid.IntRange(0, left).Draw(t, "part")
			}
			left -= part
			top.FiringShares[n] = float64(part) / 1000
		}
		top.CleanShare = top.FiringShares[1]
		top.FourStrokingShare = engine.Round(top.FiringShares[2]+top.FiringShares[3]+top.FiringShares[4], 1000)
		says := saysFiring(top, Engine{Strokes: 2})
		if says == "not told" {
			if top.FiringShares[0] < 0.99 {
				t.Errorf("%v: not told", top.FiringShares)
			}
			return
		}
		four, clean := percentAfter(says, "four-stroking"), percentAfter(says, "clean")
		if sum := four + clean + percentAfter(says, "not told"); sum != 100 {
			t.Errorf("%v: %d %% in %q", top.FiringShares, sum, says)
		}
		if sum := percentAfter(says, "every 2nd turn") + percentAfter(says, "every 3rd turn") + percentAfter(says, "every 4th turn"); sum != four {
			t.Errorf("%v: %d %% in %q", top.FiringShares, sum, says)
		}
		if math.Abs(float64(clean)-100*top.CleanShare) > 1+1e-9 || !strings.Contains(says, "four-stroking "+engine.FormatShare(top.FourStrokingShare)) {
			t.Errorf("%v: %q", top.FiringShares, says)
		}
		cut := saysCut(Cut{FourStrokingShare: top.FourStrokingShare, CleanShare: top.CleanShare}, Engine{Strokes: 2})
		if got := percentAfter(cut, "clean"); got != clean {
			t.Errorf("%v: full throttle %q, in the cut %q", top.FiringShares, says, cut)
		}
	})
}

// TestSharesOfHalves: two halves of a percent are not both rounded up.
func TestSharesOfHalves(t *testing.T) {
	t.Parallel()
	top := TopEnd{FourStrokingShare: 0.125, CleanShare: 0.875, FiringShares: [5]float64{0, 0.875, 0.105, 0.015, 0.005}}
	want := "four-stroking 13 % of the time; every 2nd turn 11 %, every 3rd turn 2 %; clean 87 %"
	if got := saysFiring(top, Engine{Strokes: 2}); got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}

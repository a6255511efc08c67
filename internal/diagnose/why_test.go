package diagnose

import (
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// histories is how many of each kind are tried.
const histories = 80

// ranks gives how often the truth came first and among the first two or three.
type ranks struct{ first, two, three, all int }

func rankOf(make func(uint64) history, kept func(history, []RankedCause) (first, two, three bool)) ranks {
	var r ranks
	for seed := range uint64(histories) {
		h := make(seed)
		found := newComparison(observations(h.passes), h.then, h.now, Default()).rankCauses()
		first, two, three := kept(h, found)
		r.all++
		for _, c := range []struct {
			yes bool
			n   *int
		}{{first, &r.first}, {two, &r.two}, {three, &r.three}} {
			if c.yes {
				*c.n++
			}
		}
	}
	return r
}

// TestHistories has the causes of simulated histories named. `go test -run
// Histories -v ./internal/book` prints the ranks.
func TestHistories(t *testing.T) {
	var all ranks
	var page strings.Builder
	page.WriteString("| simulated | first | in the first two | of |\n| --- | ---: | ---: | ---: |\n")
	for _, kind := range single {
		r := rankOf(kind.make, func(h history, found []RankedCause) (first, two, three bool) {
			return found[0].Cause == h.truth[0], found[1].Cause == h.truth[0], found[2].Cause == h.truth[0]
		})
		r.two += r.first
		r.three += r.two
		t.Logf("%-20s first in %d, in the first two in %d of %d", kind.name, r.first, r.two, r.all)
		fmt.Fprintf(&page, "| %s | %d | %d | %d |\n", kind.name, r.first, r.two, r.all)
		least := 85 // in 100
		if kind.name == "weather only" {
			least = 90
		}
		if r.first*100 < least*r.all {
			t.Errorf("%s: first in %d of %d only", kind.name, r.first, r.all)
		}
		all.first, all.two, all.all = all.first+r.first, all.two+r.two, all.all+r.all
	}
	t.Logf("%-20s first in %d, in the first two in %d of %d", "all of one cause", all.first, all.two, all.all)
	fmt.Fprintf(&page, "| all of one cause | %d | %d | %d |\n", all.first, all.two, all.all)
	checkRanks(t, "ranks", page.String())
	if all.first*100 < 85*all.all || all.two*100 < 95*all.all {
		t.Errorf("all: first in %d, in the first two in %d of %d", all.first, all.two, all.all)
	}
}

// checkRanks is checkDocs for counts over simulations: processors differ in the
// last place of a figure, and so may a rank on the edge.
func checkRanks(t *testing.T, name, block string) {
	t.Helper()
	if runtime.GOARCH != "amd64" {
		t.Logf("the page has the figures of amd64; here: %s", block)
		return
	}
	checkDocs(t, name, block)
}

// TestTwoAtOnce: with two causes at once one of them comes first, and both are
// among the first three.
func TestTwoAtOnce(t *testing.T) {
	r := rankOf(twoAtOnce, func(h history, found []RankedCause) (first, two, three bool) {
		among := func(n int) int {
			count := 0
			for _, f := range found[:n] {
				if slices.Contains(h.truth, f.Cause) {
					count++
				}
			}
			return count
		}
		return among(1) == 1, among(2) >= 1, among(3) == 2
	})
	checkRanks(t, "two", fmt.Sprintf("With two causes at once, one of them comes first in %d, one is in the first two in %d, and both\nare in the first three in %d of %d.\n", r.first, r.two, r.three, r.all))
	t.Logf("one of two first in %d, in the first two in %d, both in the first three in %d of %d", r.first, r.two, r.three, r.all)
	if r.first*100 < 85*r.all || r.two*100 < 95*r.all {
		t.Errorf("one of two first in %d, in the first two in %d of %d", r.first, r.two, r.all)
	}
}

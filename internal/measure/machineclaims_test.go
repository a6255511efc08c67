package measure_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// claimPoints is how far a claim may be from what is found: issue 14, point 7.
const claimPoints = 0.03

// cell is what was claimed in one pass within a tenth, and what of it came true.
type cell struct {
	claimed, found float64 // sums
	all            int
}

func (c *cell) add(claimed float64, right bool) {
	c.claimed += claimed
	c.all++
	if right {
		c.found++
	}
}

// excess gives how much more was found than claimed, of one claim in the mean.
func excess(cells []cell) float64 {
	var off, all float64
	for _, c := range cells {
		off += c.found - c.claimed
		all += float64(c.all)
	}
	return off / max(1, all)
}

// claims counts, in tenths of what was claimed, how often it came true, each pass by
// itself: the readings of one pass are right or wrong together.
type claims struct{ tenth [10][]cell }

// begin begins a pass.
func (c *claims) begin() {
	for k := range c.tenth {
		if n := len(c.tenth[k]); n == 0 || c.tenth[k][n-1].all > 0 {
			c.tenth[k] = append(c.tenth[k], cell{})
		}
	}
}

// add notes a claim, 0 to 1, of the pass and whether it came true.
func (c *claims) add(claimed float64, right bool) {
	k := min(9, max(0, int(10*claimed)))
	c.tenth[k][len(c.tenth[k])-1].add(claimed, right)
}

// of gives the passes of a tenth that claim anything, and their sum.
func (c *claims) of(k int) (cells []cell, sum cell) {
	for _, x := range c.tenth[k] {
		if x.all > 0 {
			cells = append(cells, x)
			sum.claimed, sum.found, sum.all = sum.claimed+x.claimed, sum.found+x.found, sum.all+x.all
		}
	}
	return cells, sum
}

// interval gives the bounds, with 95 % between them, of how much more would be found
// than claimed over very many passes: by drawing passes again. One pass more of which
// all claims came true and one of which none did are drawn with them, so that a few
// passes that went alike are not certain to go on so.
//
// Sources: Efron 1979 (the bootstrap); Laplace's rule of succession.
func interval(cells []cell, sum cell) (low, high float64) {
	const draws, outside = 1000, 0.025
	n := float64(len(cells))
	claimed, all := sum.claimed/n, float64(sum.all)/n
	pool := append(slices.Clone(cells), cell{claimed, all, int(math.Ceil(all))}, cell{claimed, 0, int(math.Ceil(all))})
	r := rand.New(rand.NewPCG(uint64(len(cells)), uint64(sum.all)))
	got, drawn := make([]float64, draws), make([]cell, len(pool))
	for i := range got {
		for k := range drawn {
			drawn[k] = pool[r.IntN(len(pool))]
		}
		got[i] = excess(drawn)
	}
	slices.Sort(got)
	return got[int(outside*draws)], got[int((1-outside)*draws)-1]
}

// judgeClaim says what an interval of what was found over the claim shows of it.
func judgeClaim(low, high float64) string {
	switch {
	case low > claimPoints:
		return "claims too little"
	case high < -claimPoints:
		return "claims too much"
	case low >= -claimPoints && high <= claimPoints:
		return "held"
	}
	return "too few passes to tell"
}

// write writes a line for each tenth: claimed mean, found share, by how much more was
// found than claimed, over how many claims and passes, and what that shows.
func (c *claims) write(b *strings.Builder, name string) {
	for k := range c.tenth {
		cells, sum := c.of(k)
		if sum.all == 0 {
			continue
		}
		low, high := interval(cells, sum)
		n := float64(sum.all)
		fmt.Fprintf(b, "%-34s %2d-%-3d %5.1f > %5.1f  %+6.1f (%+6.1f to %+6.1f) %7d of %4d passes: %s\n", name, 10*k, 10*k+10,
			100*sum.claimed/n, 100*sum.found/n, 100*(sum.found-sum.claimed)/n, 100*low, 100*high, sum.all, len(cells), judgeClaim(low, high))
	}
}

// TestClaims: claims that come true as often as they say are held where there are
// passes enough, those that do not are said to be off, and a few passes tell nothing,
// however alike.
func TestClaims(t *testing.T) {
	for name, x := range map[string]struct {
		passes, right int // of the passes, those in which all comes true
		claimed       float64
		want          string
	}{
		"as it says":          {1000, 950, 0.95, "held"},
		"too little":          {300, 294, 0.91, "claims too little"},
		"too much":            {300, 273, 0.98, "claims too much"},
		"few, and all right":  {2, 2, 0.55, "too few passes to tell"},
		"few, of 97 claimed":  {20, 20, 0.97, "too few passes to tell"},
		"many, hardly enough": {100, 55, 0.55, "too few passes to tell"},
	} {
		var c claims
		for i := range x.passes {
			c.begin()
			for range 1 + i%3 { // readings of one pass are right or wrong together
				c.add(x.claimed, i*x.right%x.passes < x.right)
			}
		}
		cells, sum := c.of(int(10 * x.claimed))
		low, high := interval(cells, sum)
		if got := judgeClaim(low, high); len(cells) != x.passes || got != x.want {
			t.Errorf("%s: %s (%+.3f to %+.3f, %d passes), want %s", name, got, low, high, len(cells), x.want)
		}
	}
}

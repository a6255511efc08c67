package binom

import "testing"

// TestBounds holds the bounds to sums worked out by hand.
//
// Source: binomial distribution. Of 3 cases with a chance of 1/2, all three come
// to 1/8. Of 10 with 1/2, 10 come to 1/1024 (under 1/1000) and 9 or more to
// 11/1024. Of 20 with 1/100, 3 or more come to 0.00100, 4 or more to 0.00004.
func TestBounds(t *testing.T) {
	for _, tt := range []struct {
		n        int
		p        float64
		max, min int
	}{
		{3, 0.5, 3, 0},
		{10, 0.5, 9, 1},
		{20, 0.01, 3, 0},
		{5, 0, 0, 0},
		{5, 1, 5, 5},
		{0, 0.5, 0, 0},
	} {
		if a, b := Max(tt.n, tt.p), Min(tt.n, tt.p); a != tt.max || b != tt.min {
			t.Errorf("of %d with a chance of %v: %d to %d, want %d to %d", tt.n, tt.p, b, a, tt.min, tt.max)
		}
	}
}

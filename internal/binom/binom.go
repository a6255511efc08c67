// Package binom gives the bounds that a test holds counts to.
//
// A test that counts, in how many of n made passes something goes wrong, say,
// cannot ask for the share itself: a program of which one verdict in fifty is
// wrong gets two of ten wrong now and then. Max and Min give the counts that a
// program which does reach the share passes in all but one of a thousand sets of
// passes. A count beyond them contradicts the share; a count within them does not
// prove it, and the more passes, the narrower the bound. Only tests import this
// package.
//
// Source: the binomial distribution function, by gonum's stat/distuv.
package binom

import "gonum.org/v1/gonum/stat/distuv"

// Rare is the chance with which a program that reaches the share is beyond the
// bound all the same.
const Rare = 0.001

// Max gives the largest count, 0 to n, of n independent cases with a chance of p
// each that is reached or passed with a chance of Rare or more.
func Max(n int, p float64) int {
	d := distuv.Binomial{N: float64(n), P: p}
	k := 0
	for k < n && 1-d.CDF(float64(k)) >= Rare {
		k++
	}
	return k
}

// Min gives the smallest such count.
func Min(n int, p float64) int { return n - Max(n, 1-p) }

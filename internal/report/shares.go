package report

import (
	"math"

	"topnote/internal/engine"
)

// Shares of one whole that stand side by side are written in full percent that add up:
// whoever adds them finds what they are parts of. JSON has the exact ones.

// shown gives a share as FormatShare writes it, in full percent.
func shown(share float64) float64 { return engine.Round(share, 100) }

// wholeShares gives the shares of four-stroking, of clean running and of what is not
// told, in full percent that add up to 100. Four-stroking is written as it stands by
// itself in sentences; the other two share the rest.
func wholeShares(four, clean float64) (shownFour, shownClean, notTold float64) {
	shownFour = shown(four)
	rest := apportion(1-shownFour, []float64{clean, max(0, 1-four-clean)})
	return shownFour, rest[0], rest[1]
}

// apportion gives shares in full percent that add up to a whole that is in full percent.
// Shares that do not make up the whole are each rounded by itself.
//
// Source: largest remainder (Hamilton).
func apportion(whole float64, shares []float64) []float64 {
	const slop = 1e-9 // of shares in thousandths, as floating point has them
	parts, left := make([]float64, len(shares)), math.Round(100*whole)
	for i, v := range shares {
		parts[i] = math.Floor(100*v + slop)
		left -= parts[i]
	}
	if left < 0 || left > float64(len(shares)) {
		for i, v := range shares {
			parts[i] = shown(v)
		}
		return parts
	}
	for ; left > 0; left-- {
		most := 0
		for i, v := range shares {
			if 100*v-parts[i] > 100*shares[most]-parts[most]+slop {
				most = i
			}
		}
		parts[most]++
	}
	for i := range parts {
		parts[i] /= 100
	}
	return parts
}

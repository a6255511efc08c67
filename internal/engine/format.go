package engine

import (
	"math"
	"strconv"
	"strings"
)

// The forms in which figures are written for people, the same in every
// sentence, table and picture. Each takes any type whose value is a number, so
// that a speed of the track and one of a report are written by the same code.

// CoverageFactor times a standard deviation is the half width of every interval
// that a reader sees: it holds 95 in 100 of a normal distribution (1.96,
// rounded up).
//
// Source: JCGM 100:2008 (GUM), 6.3.3.
const CoverageFactor = 2

// speedStep is what speeds are rounded to for people, in rpm: nobody sets a
// screw by less.
const speedStep = 10

// HalfWidth gives the half width of the interval that holds a speed with 95 in
// 100, in rpm, from its standard deviation sd: rounded up to full tens, so as to
// promise no more than is known. sd counts to a tenth, as reports have it: what is written
// of a measurement and of its report is the same.
func HalfWidth[T ~float64](sd T) T {
	return T(math.Ceil(CoverageFactor*Round(sd, 10)/speedStep) * speedStep)
}

// FormatHalfWidth writes HalfWidth: "70".
func FormatHalfWidth[T ~float64](sd T) string { return FormatWhole(HalfWidth(sd)) }

// FormatWhole writes v as a whole number with commas between thousands:
// "13,500", "-20". It has no negative zero.
func FormatWhole[T ~float64](v T) string {
	digits := strconv.FormatFloat(math.Round(math.Abs(float64(v))), 'f', 0, 64)
	var b strings.Builder
	if v < 0 && digits != "0" {
		b.WriteByte('-')
	}
	for i, d := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(d)
	}
	return b.String()
}

// Tens gives a measured speed in rpm as FormatTens writes it: to the nearest ten, one
// under ten to the nearest whole.
func Tens[T ~float64](v T) T {
	if math.Abs(float64(v)) < speedStep {
		return T(math.Round(float64(v)))
	}
	return T(math.Round(float64(v)/speedStep) * speedStep)
}

// FormatTens writes a measured speed in rpm to the nearest ten, "12,840"; one
// under ten to the nearest whole.
func FormatTens[T ~float64](v T) string { return FormatWhole(Tens(v)) }

// Margin gives how far a measured speed is over one that was entered, below 0 for
// under it, in rpm: the difference of the two as readers see them, the measured one
// as FormatTens writes it and the entered one as FormatWhole does. So whoever
// subtracts them finds the same.
func Margin[T ~float64](measured, entered T) T {
	return Tens(measured) - T(math.Round(float64(entered)))
}

// Change gives the difference of two measured speeds, b less a, in rpm, of the two as
// FormatTens writes them.
func Change[T ~float64](a, b T) T { return Tens(b) - Tens(a) }

// FormatSeconds writes a time or a length of time to a tenth: "0.7 s".
func FormatSeconds[T ~float64](t T) string { return FormatTenth(t) + " s" }

// FormatTenth writes a figure with one decimal and without its unit: "0.7".
func FormatTenth[T ~float64](v T) string { return strconv.FormatFloat(float64(v), 'f', 1, 64) }

// FormatShare writes a share of 0 to 1 in whole percent: "45 %".
func FormatShare[T ~float64](share T) string {
	return strconv.FormatFloat(math.Round(100*float64(share)), 'f', 0, 64) + " %"
}

// FormatPercent writes a figure in percent with one decimal: "3.4 %".
func FormatPercent[T ~float64](v T) string { return FormatTenth(v) + " %" }

// Round gives v to the nearest multiple of 1/perUnit, never a negative zero,
// and 0 for what JSON cannot carry.
func Round[T ~float64](v T, perUnit float64) float64 {
	r := math.Round(float64(v)*perUnit) / perUnit
	if math.IsNaN(r) || math.IsInf(r, 0) {
		return 0
	}
	return r + 0
}

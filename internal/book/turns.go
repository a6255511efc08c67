package book

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Turns is the setting of a screw: of H and L turns out from lightly seated (out is
// richer on the common type of mixture screw, common practice), of the idle screw turns
// in from first contact.
type Turns float64

// maxTurns is the widest setting that is accepted, in turns; screws fall out
// before.
const maxTurns = 20

// ParseTurns reads a setting as people write it: "1.25", "1 1/4", "1-1/4",
// "7/8". It returns a *Problem of kind ErrEntry for anything else.
func ParseTurns(text string) (Turns, error) {
	number := strings.TrimSpace(text)
	whole, part, mixed := strings.Cut(strings.ReplaceAll(number, "-", " "), " ")
	var v float64
	var ok bool
	switch {
	case strings.HasPrefix(number, "-"):
	case mixed:
		v, ok = mixedNumber(whole, strings.TrimSpace(part))
	case strings.Contains(number, "/"):
		v, ok = fraction(number)
	default:
		v, ok = decimal(number)
	}
	if !ok {
		return 0, problemNoTurns(text)
	}
	t := Turns(v)
	return t, t.check()
}

// mixedNumber reads a whole number and a fraction below 1.
func mixedNumber(whole, part string) (float64, bool) {
	w, okWhole := decimal(whole)
	f, okPart := fraction(part)
	return w + f, okWhole && okPart && w == math.Trunc(w) && f < 1
}

// decimal reads digits with at most one decimal point.
func decimal(text string) (float64, bool) {
	if text == "" || strings.Trim(text, "0123456789.") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}

// fraction reads two whole numbers with a slash between.
func fraction(text string) (float64, bool) {
	above, below, found := strings.Cut(text, "/")
	a, okA := decimal(above)
	b, okB := decimal(below)
	if !found || !okA || !okB || b == 0 || a != math.Trunc(a) || b != math.Trunc(b) {
		return 0, false
	}
	return a / b, true
}

// String gives the turns as they are said: whole turns and a fraction down to a
// sixteenth, "1 1/8"; what is none of these as a decimal number, to a thousandth.
func (t Turns) String() string {
	const finest, perTurn = 16, 1000
	n := math.Round(float64(t) * finest)
	if n/finest != float64(t) {
		return strconv.FormatFloat(math.Round(float64(t)*perTurn)/perTurn, 'f', -1, 64)
	}
	above, below := int(n)%finest, finest
	for above != 0 && above%2 == 0 {
		above, below = above/2, below/2
	}
	whole := int(n) / finest
	switch {
	case above == 0:
		return strconv.Itoa(whole)
	case whole == 0:
		return fmt.Sprintf("%d/%d", above, below)
	}
	return fmt.Sprintf("%d %d/%d", whole, above, below)
}

func (t Turns) check() error {
	if !(t >= 0 && t <= maxTurns) { // also stops NaN
		return problemTurnsRange(t)
	}
	return nil
}

func (s Screws) check() error {
	for _, t := range []*Turns{s.H, s.L, s.Idle} {
		if t == nil {
			continue
		}
		if err := t.check(); err != nil {
			return err
		}
	}
	return nil
}

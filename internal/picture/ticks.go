package picture

import (
	"math"
	"strconv"

	"topnote/internal/engine"

	"gonum.org/v1/plot"
)

// tickStep gives the distance between ticks: 1, 2 or 5 times a power of ten, the
// smallest that divides a span into at most parts.
func tickStep(span, parts float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(span/parts)))
	for _, m := range []float64{1, 2, 5} {
		if span/(m*power) <= parts {
			return m * power
		}
	}
	return 10 * power
}

// ticksBetween gives a tick at every step from lowest to highest.
func ticksBetween(lowest, highest, parts float64, words func(v, step float64) string) []plot.Tick {
	span := highest - lowest
	if !(span > 0) {
		return nil
	}
	var ticks []plot.Tick
	by := tickStep(span, parts)
	for i := math.Ceil(lowest / by); i*by <= highest+by/1000; i++ {
		v := i*by + 0 // no negative zero
		ticks = append(ticks, plot.Tick{Value: v, Label: words(v, by)})
	}
	return ticks
}

// thousandsTicks marks an axis of speed, 12,000, in at most parts.
type thousandsTicks struct{ parts float64 }

// Ticks implements plot.Ticker.
func (t thousandsTicks) Ticks(lowest, highest float64) []plot.Tick {
	return ticksBetween(lowest, highest, t.parts, func(v, _ float64) string { return engine.FormatWhole(v) })
}

// secondsTicks marks an axis of time in at most parts: 0, 2, 4 or 0.5, 1.0 with
// no more places than the step needs.
type secondsTicks struct{ parts float64 }

// Ticks implements plot.Ticker.
func (t secondsTicks) Ticks(lowest, highest float64) []plot.Tick {
	return ticksBetween(lowest, highest, t.parts, func(v, by float64) string {
		places := max(0, int(math.Ceil(-math.Log10(by)-1e-9)))
		return strconv.FormatFloat(v, 'f', places, 64)
	})
}

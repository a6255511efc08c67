package report

import (
	"math"
	"strconv"
	"testing"

	"topnote/internal/engine"

	"pgregory.net/rapid"
)

// TestAppendNumber: numbers are written as strconv writes them, which is the
// shortest form that reads back as the same, whether they were rounded or not.
func TestAppendNumber(t *testing.T) {
	t.Parallel()
	check := func(t interface{ Errorf(string, ...any) }, v float64) {
		if got, want := string(appendNumber(nil, v)), strconv.FormatFloat(v, 'f', -1, 64); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	for _, v := range []float64{
		0, math.Copysign(0, -1), 0.001, 0.0005, 0.1, 0.01, 0.25, 1, 10, 1000, 12000.5, -3.5,
		1e12 - 0.001, 1e12, 1e15, 1e21, 1e300, math.Nextafter(0.1, 1), math.SmallestNonzeroFloat64, math.MaxFloat64,
	} {
		check(t, v)
	}
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64().Draw(t, "v")
		check(t, v)
		check(t, float64(rapid.Int64Range(0, 1e15).Draw(t, "thousandths"))/1000)
		check(t, engine.Round(math.Mod(v, 1e6), 1000))
	})
}

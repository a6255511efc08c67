package diagnose

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// TestFitShapes compares the fit of a level and one shape with gonum's regression.
func TestFitShapes(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "figures")
		figures := make([]estimate, n)
		var x, y, weights []float64
		for i := range figures {
			figures[i] = estimate{rapid.Float64Range(-20, 20).Draw(t, "value"), rapid.Float64Range(0.5, 5).Draw(t, "sd")}
			x = append(x, float64(i)/float64(n-1)+rapid.Float64Range(0, 0.05).Draw(t, "day"))
			y = append(y, figures[i].value)
			weights = append(weights, 1/square(figures[i].sd))
		}
		got, ok := fitShapes(figures, func(i int) float64 { return x[i] })
		if !ok {
			t.Fatal("no fit")
		}
		level, slope := stat.LinearRegression(x, y, weights, false)
		chiSquared, information := 0.0, 0.0
		mean := stat.Mean(x, weights)
		for i := range x {
			chiSquared += weights[i] * square(y[i]-level-slope*x[i])
			information += weights[i] * square(x[i]-mean) // Fisher's, of the slope
		}
		const rounding = 1e-7 // of figures up to 20 over deviations from 0.5
		if math.Abs(got.factors[0].value-slope) > rounding*(1+math.Abs(slope)) || math.Abs(got.chiSquared-chiSquared) > rounding*(1+chiSquared) ||
			math.Abs(got.factors[0].sd*math.Sqrt(information)-1) > rounding {
			t.Fatalf("got %+v, want slope %v, chi squared %v, deviation %v", got, slope, chiSquared, 1/math.Sqrt(information))
		}
	})
}

// TestFitTwoShapes: figures that are made of both shapes give both back, with
// nothing left, and shapes that cannot be parted give no fit.
func TestFitTwoShapes(t *testing.T) {
	t.Parallel()
	days := []float64{0, 10, 20, 45, 60, 61}
	growth, step := growthOf(days, 1), stepAt(4)
	figures := make([]estimate, len(days))
	for i := range figures {
		figures[i] = estimate{3 - 5*growth(i) + 7*step(i), 1 + float64(i%2)}
	}
	got, ok := fitShapes(figures, growth, step)
	const rounding = 1e-9
	if !ok || math.Abs(got.factors[0].value+5) > rounding || math.Abs(got.factors[1].value-7) > rounding || got.chiSquared > rounding {
		t.Errorf("%+v, %v", got, ok)
	}
	if got, ok := fitShapes(figures, growth, growth); ok {
		t.Errorf("the same shape twice: %+v", got)
	}
	if got, ok := fitShapes(figures, growthOf([]float64{1, 1, 1, 1, 1, 1}, 1)); ok {
		t.Errorf("a flat shape: %+v", got)
	}
}

// TestProbAbove compares with gonum near the mean, and with bounds far from it.
func TestProbAbove(t *testing.T) {
	t.Parallel()
	for z := -4.0; z <= 4; z += 0.125 {
		e := estimate{2, 3}
		if got, want := e.probAbove(2+3*z), (distuv.Normal{Mu: 2, Sigma: 3}).Survival(2+3*z); math.Abs(got-want) > 1e-12 {
			t.Errorf("above %v deviations: %v, want %v", z, got, want)
		}
	}
	// Far out the tail lies between the density times 1/z - 1/z^3 and times 1/z,
	// which integration by parts gives.
	for _, z := range []float64{5, 10, 20, 35} {
		density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
		if got := (estimate{0, 1}).probAbove(z); got < density*(1/z-1/(z*z*z)) || got > density/z {
			t.Errorf("above %v deviations: %v", z, got)
		}
	}
}

// TestPool: two estimates give one between them, with the deviation of both

package dsp

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/floats"
)

// TestAutocorrelation: every lag is the quotient that defines it, for one series
// and several, over a fixed number of samples and all there are, from the first
// lag and a later one. Source: definition, by gonum's dot products and norms.
func TestAutocorrelation(t *testing.T) {
	const lags = 40
	r := rand.New(rand.NewPCG(8, 9))
	series := make([][]float64, 4)
	for i, n := range []int{100, 60, 39, 0} { // the last two shorter than the longest lag
		for range n {
			series[i] = append(series[i], r.NormFloat64())
		}
	}
	for _, of := range [][][]float64{series[:1], series} {
		for _, n := range []int{0, 1, 30, 1000} {
			for _, first := range []int{0, 7} {
				got := make([]float64, lags)
				Autocorrelation(got, first, n, of...)
				for k := first; k < lags; k++ {
					if want := quotient(k, n, of); math.Abs(got[k]-want) > 1e-12 {
						t.Fatalf("%d series, %d samples, lag %d: %v, want %v", len(of), n, k, got[k], want)
					}
				}
			}
		}
	}
}

// quotient gives the autocorrelation at one lag by its definition.
func quotient(lag, n int, series [][]float64) float64 {
	var both, sooner, later float64
	for _, x := range series {
		if m := min(n, len(x)-lag); m > 0 {
			a, b := x[:m], x[lag:lag+m]
			both += floats.Dot(a, b)
			sooner += math.Pow(floats.Norm(a, 2), 2)
			later += math.Pow(floats.Norm(b, 2), 2)
		}
	}
	if sooner*later == 0 {
		return 0
	}
	return both / math.Sqrt(sooner*later)
}

// TestAutocorrelationOfSilence: silence is like nothing, and after a loud stretch
// rounding leaves nothing over 1.
func TestAutocorrelationOfSilence(t *testing.T) {
	x := make([]float64, 200)
	for i := range 50 {
		x[i] = 1e6 * math.Sin(float64(i*i))
	}
	x[150] = 1e-9
	got := make([]float64, 120)
	Autocorrelation(got, 0, 50, x)
	for k, v := range got {
		if math.IsNaN(v) || math.Abs(v) > 1 || k >= 50 && k <= 100 && v != 0 {
			t.Errorf("lag %d: %v", k, v)
		}
	}
}

// TestAutocorrelationOfATone: a tone is like itself after whole periods and
// opposite after half ones. Source: closed form, cos(2 pi k/period).
func TestAutocorrelationOfATone(t *testing.T) {
	const period = 20
	x := make([]float64, 10*period)
	for i := range x {
		x[i] = math.Sin(2*math.Pi*float64(i)/period + 0.4)
	}
	got := make([]float64, 3*period)
	Autocorrelation(got, 0, 5*period, x)
	for k, v := range got {
		if want := math.Cos(2 * math.Pi * float64(k) / period); math.Abs(v-want) > 1e-9 {
			t.Errorf("lag %d: %v, want %v", k, v, want)
		}
	}
}

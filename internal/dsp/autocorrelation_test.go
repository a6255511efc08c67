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

// TestShortTimeAutocorrelation: every element is the quotient that defines it,
// also near the ends and for lags that reach past them. Source: definition.
func TestShortTimeAutocorrelation(t *testing.T) {
	const lags, width = 5, 6
	r := rand.New(rand.NewPCG(10, 11))
	for _, n := range []int{0, 1, 4, 30} {
		v := make([][]float32, n)
		for i := range v {
			v[i] = []float32{float32(r.NormFloat64()), float32(r.NormFloat64()), float32(r.NormFloat64())}
		}
		got := ShortTimeAutocorrelation(v, lags, width)
		if len(got) != n {
			t.Fatalf("%d rows, want %d", len(got), n)
		}
		for at := range v {
			for lag := 1; lag <= lags; lag++ {
				var both, energy float64
				for i := max(0, at-width/2); i <= at+width/2 && i+lag < n; i++ {
					for j := range v[i] {
						a, b := float64(v[i][j]), float64(v[i+lag][j])
						both, energy = both+a*b, energy+a*a+b*b
					}
				}
				want := 0.0
				if energy > 0 {
					want = 2 * both / energy
				}
				if math.Abs(got[at][lag-1]-want) > 1e-5 { // single precision
					t.Errorf("%d vectors, around %d, lag %d: %v, want %v", n, at, lag, got[at][lag-1], want)
				}
			}
		}
	}
}

// TestShortTimeAutocorrelationOfAPattern: vectors that repeat every third are
// alike at lag 3 and unrelated before. Source: closed form.
func TestShortTimeAutocorrelationOfAPattern(t *testing.T) {
	v := make([][]float32, 30)
	for i := range v {
		v[i] = make([]float32, 3)
		v[i][i%3] = 1
	}
	for i, row := range ShortTimeAutocorrelation(v, 3, 8)[:26] {
		if row[0] != 0 || row[1] != 0 || row[2] != 1 {
			t.Errorf("around %d: %v, want 0, 0, 1", i, row)
		}
	}
}

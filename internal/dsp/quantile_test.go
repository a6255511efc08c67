package dsp

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

func TestQuantile(t *testing.T) {
	for _, c := range []struct {
		x       []float64
		p, want float64
		source  string
	}{
		{nil, 0.5, 0, "nothing"},
		{[]float64{7}, 0, 7, "a single value"},
		{[]float64{7}, 1, 7, "a single value"},
		{[]float64{1, 2}, 0.5, 1.5, "mean of the middle two"},
		{[]float64{1, 2, 9}, 0.5, 2, "the middle"},
		{[]float64{1, 2, 3, 4}, 0, 1, "the smallest"},
		{[]float64{1, 2, 3, 4}, 1, 4, "the largest"},
		{[]float64{1, 2, 3, 4}, 0.25, 1.75, "place 0.25*3 = 0.75"},
		{[]float64{10, 20, 40}, 0.9, 36, "place 0.9*2 = 1.8"},
	} {
		if got := Quantile(c.x, c.p); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("Quantile(%v, %v) = %v, want %v: %s", c.x, c.p, got, c.want, c.source)
		}
	}
}

// TestQuantileOfUniform: the quantiles of the values 0 to n-1 are p(n-1), at every
// p. Source: definition 7 of Hyndman and Fan 1996.
func TestQuantileOfUniform(t *testing.T) {
	for _, n := range []int{1, 2, 3, 10, 101} {
		x := floats.Span(make([]float64, n+1), 0, float64(n))[:n]
		for i := range 1001 {
			p := float64(i) / 1000
			if got, want := Quantile(x, p), p*float64(n-1); math.Abs(got-want) > 1e-9 {
				t.Errorf("%d values, p %v: %v, want %v", n, p, got, want)
			}
		}
	}
}

func TestMedian(t *testing.T) {
	x := []float64{3, 1, 2}
	if got := Median(x); got != 2 {
		t.Errorf("median %v, want 2", got)
	}
	if x[0] != 3 || x[1] != 1 || x[2] != 2 {
		t.Errorf("x was changed to %v", x)
	}
}

// TestSDPerMAD: the constant is that of the normal distribution. Source: gonum's
// quantile function.
func TestSDPerMAD(t *testing.T) {
	if want := 1 / distuv.UnitNormal.Quantile(0.75); math.Abs(SDPerMAD-want) > 5e-5 {
		t.Errorf("%v, want %v", SDPerMAD, want)
	}
}

// TestRobustSD: of normal values it is their standard deviation, and a fifth of
// wild values among them raises it by no more than the shift of the quantile
// does. Source: with a share e of them far out, the deviation that half of all
// values stay under is the normal's (1/2)/(1-e) quantile.
func TestRobustSD(t *testing.T) {
	const n, sd, wild = 10000, 3.0, 0.2
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float64, n)
	for i := range x {
		x[i] = 50 + sd*r.NormFloat64()
	}
	// The standard error of a MAD of n normal values is 1.17 sd/sqrt(n) (its
	// efficiency is 37 %); five of them never happen.
	const tolerance = 5 * 1.17 * sd / 100
	if got := RobustSD(x); math.Abs(got-sd) > tolerance {
		t.Errorf("%v, want %v", got, sd)
	}
	for i := range int(wild * n) {
		x[i] = 1e6 * float64(i%2*2-1)
	}
	want := sd * SDPerMAD * distuv.UnitNormal.Quantile(0.5+0.5*0.5/(1-wild))
	if got := RobustSD(x); math.Abs(got-want) > tolerance {
		t.Errorf("with wild values %v, want %v", got, want)
	}
	if got := RobustSD(nil); got != 0 {
		t.Errorf("of nothing %v, want 0", got)
	}
}

// TestMedianInPlace: the median is that of the sorted values, to the last bit, also with
// ties, and so is the deviation. Source: definition.
func TestMedianInPlace(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 5))
	for n := range 60 {
		x := make([]float64, n)
		for i := range x {
			x[i] = r.NormFloat64()
			if n%2 == 0 {
				x[i] = math.Round(4 * x[i]) // with ties
			}
		}
		median := Quantile(Sorted(x), 0.5)
		away := make([]float64, n)
		for i, v := range x {
			away[i] = math.Abs(v - median)
		}
		if got := Median(x); got != median {
			t.Errorf("of %v the median is %v, want %v", x, got, median)
		}
		if got, want := RobustSDInPlace(x), SDPerMAD*Quantile(Sorted(away), 0.5); got != want {
			t.Errorf("%d values: %v, want %v", n, got, want)
		}
	}
}

// TestRunningMean: the mean of what lies within reach, also where the window is
// wider than what there is. Source: definition.
func TestRunningMean(t *testing.T) {
	for _, n := range []int{1, 2, 5, 8, 9, 40} {
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(i*i%7) - 2
		}
		for _, half := range []int{0, 1, 2, 4, 8, 50} {
			got := make([]float64, n)
			RunningMean(got, x, half)
			for i := range x {
				var sum, count float64
				for j := max(0, i-half); j < min(n, i+half+1); j++ {
					sum, count = sum+x[j], count+1
				}
				if math.Abs(got[i]-sum/count) > 1e-9 {
					t.Fatalf("%d elements, half width %d: element %d is %g, want %g", n, half, i, got[i], sum/count)
				}
			}
		}
	}
}

// TestPeakOffset: the top of a parabola is found where it is. Source: closed form.
func TestPeakOffset(t *testing.T) {
	for _, top := range []float64{-0.5, -0.2, 0, 0.3, 0.5} {
		at := func(x float64) float64 { return 7 - 3*(x-top)*(x-top) }
		if got := PeakOffset(at(-1), at(0), at(1)); math.Abs(got-top) > 1e-12 {
			t.Errorf("top at %v, want %v", got, top)
		}
	}
	if got := PeakOffset(1, 2, 3); got != 0 {
		t.Errorf("%v on a line, want 0", got)
	}
}

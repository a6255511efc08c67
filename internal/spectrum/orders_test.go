package spectrum_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

const rate engine.Hz = 8000

// line gives the index of an order in an order spectrum.
func line(order float64) int { return int(math.Round(order*spectrum.LinesPerOrder)) - 1 }

// sweep gives the shaft angle of 2 s of sound while the speed climbs evenly.
func sweep(from, to engine.RPM) []float64 {
	const n = int(2 * rate)
	return spectrum.ShaftAngle(n, rate, func(i int) engine.RPM { return from + (to-from)*engine.RPM(float64(i)/float64(n)) })
}

// noise gives white noise of a standard deviation.
func noise(n int, sd float64) []float32 {
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(sd * r.NormFloat64())
	}
	return x
}

// tones adds sines of the shaft's orders to x.
func tones(x []float32, turns []float64, level float64, orders ...float64) []float32 {
	for i := range x {
		for _, k := range orders {
			x[i] += float32(level * math.Sin(2*math.Pi*k*turns[i]))
		}
	}
	return x
}

func orders(t testing.TB, x []float32, turns []float64) []float64 {
	t.Helper()
	levels, err := spectrum.Orders(nil, x, turns)
	if err != nil {
		t.Fatal(err)
	}
	if len(levels) != spectrum.MaxOrder*spectrum.LinesPerOrder {
		t.Fatalf("%d levels, want %d orders of %d lines", len(levels), spectrum.MaxOrder, spectrum.LinesPerOrder)
	}
	return levels
}

// TestOrdersStaySharp: a tone that is bound to the shaft stays one line, with nothing on
// either side, while the speed climbs by a fifth, and a tone that is not bound to it does
// not.
//
// Source: definition of an order.
func TestOrdersStaySharp(t *testing.T) {
	turns := sweep(10000, 12000)
	const order = 3.5
	levels := orders(t, tones(noise(len(turns), 1e-3), turns, 0.1, order), turns)
	top := levels[line(order)]
	if top < 30 {
		t.Errorf("the line stands %.1f dB over the floor, want a clear one", top)
	}
	for _, k := range []int{line(order) - 2, line(order) - 1, line(order) + 1, line(order) + 2, line(1), line(7)} {
		if levels[k] > 7 {
			t.Errorf("line %d stands %.1f dB over the floor, where there is no sound", k, levels[k])
		}
	}
	// A hum of 600 Hz that the shaft does not make passes order 3.5 as well.
	turns = sweep(7000, 14000)
	free := make([]float64, len(turns))
	for i := range free {
		free[i] = 600 * float64(i) / float64(rate)
	}
	if levels = orders(t, tones(noise(len(turns), 1e-3), free, 0.1, 1), turns); levels[line(order)] > top-12 {
		t.Errorf("a hum stands at %.1f dB, like a line of the shaft at %.1f", levels[line(order)], top)
	}
}

// TestOrdersOfAlternation: impulses that alternate in strength, a and b, have a
// half-order line of |a-b|/(a+b) of order 1.
//
// Source: Fourier series of two interleaved impulse trains, exact; at the orders
// 0.5 and 1 the local floors are one and the same noise.
func TestOrdersOfAlternation(t *testing.T) {
	turns := sweep(12000, 12000)
	for _, b := range []float64{1, 0.8, 0.5, 0.25, 0} {
		x := noise(len(turns), 1e-4)
		for k := 0.5; k <= 15; k += 0.5 { // the impulses, without what 8 kHz cannot carry
			level := 0.5 * (1 + b)
			if k != math.Trunc(k) {
				level = 0.5 * (1 - b)
			}
			tones(x, turns, level/15, k)
		}
		levels := orders(t, x, turns)
		want := 20 * math.Log10((1-b)/(1+b))
		got := levels[line(0.5)] - levels[line(1)]
		if b == 1 {
			if levels[line(0.5)] > 7 {
				t.Errorf("even firing shows a half order of %.1f dB", levels[line(0.5)])
			}
		} else if math.Abs(got-want) > 1.5 { // two floors of sd 0.6 dB, two of them at most
			t.Errorf("b = %v: the half order stands at %.2f dB of order 1, want %.2f", b, got, want)
		}
	}
}

// TestOrdersTellPeriods: firing every 2nd, 3rd and 4th turn show lines at
// different places. Source: a train of period N turns has lines at multiples of
// 1/N.
func TestOrdersTellPeriods(t *testing.T) {
	turns := sweep(11800, 12200)
	for n := 2; n <= 4; n++ {
		x := noise(len(turns), 1e-3)
		for k := 1; k <= 8*n; k++ {
			tones(x, turns, 0.02, float64(k)/float64(n))
		}
		levels := orders(t, x, turns)
		for other := 2; other <= 4; other++ {
			at := line(1 + 1/float64(other))
			shows := levels[at] > 12 && levels[at] >= levels[at-1] && levels[at] >= levels[at+1]
			if want := n%other == 0 || other == n; shows != want {
				t.Errorf("firing every %d: at order 1 + 1/%d %.1f dB, a line wanted: %v", n, other, levels[at], want)
			}
		}
	}
}

func TestOrdersOfNothing(t *testing.T) {
	turns := sweep(9000, 9000)
	for k, v := range orders(t, make([]float32, len(turns)), turns) {
		if v != 0 {
			t.Errorf("silence has %v dB at line %d", v, k)
		}
	}
	for k, v := range orders(t, noise(len(turns), 0.1), turns) {
		if v > 7 {
			t.Errorf("noise has %.1f dB at line %d, like an engine", v, k)
		}
	}
}

func TestOrdersErrors(t *testing.T) {
	eight := []float64{0, 4, 8}
	for name, c := range map[string]struct {
		x     []float32
		turns []float64
		want  error
	}{
		"nothing":           {nil, nil, spectrum.ErrTooFewRevs},
		"7.9 revolutions":   {make([]float32, 3), []float64{0, 4, 7.9}, spectrum.ErrTooFewRevs},
		"8 revolutions":     {make([]float32, 3), eight, nil},
		"angles missing":    {make([]float32, 4), eight, spectrum.ErrAngles},
		"falling":           {make([]float32, 3), []float64{0, 9, 8}, spectrum.ErrAngles},
		"not a number":      {make([]float32, 3), []float64{0, math.NaN(), 8}, spectrum.ErrAngles},
		"not a number last": {make([]float32, 3), []float64{0, 8, math.NaN()}, spectrum.ErrAngles},
	} {
		if _, err := spectrum.Orders(nil, c.x, c.turns); !errors.Is(err, c.want) {
			t.Errorf("%s gives %v, want %v", name, err, c.want)
		}
	}
}

// TestOrdersGain: louder sound has the same order spectrum, and a buffer that
// is long enough is used again.
func TestOrdersGain(t *testing.T) {
	turns := sweep(6000, 7000)[:2000]
	x := tones(noise(len(turns), 1e-2), turns, 0.1, 1, 1.5, 2)
	before := orders(t, x, turns)
	rapid.Check(t, func(rt *rapid.T) {
		gain := float32(rapid.Float64Range(0.1, 10).Draw(rt, "gain"))
		y := make([]float32, len(x))
		for i, v := range x {
			y[i] = -gain * v
		}
		buffer := make([]float64, spectrum.MaxOrder*spectrum.LinesPerOrder)
		levels, err := spectrum.Orders(buffer, y, turns)
		if err != nil {
			rt.Fatal(err)
		}
		if &levels[0] != &buffer[0] {
			rt.Error("a new buffer was made")
		}
		for k := range levels {
			if math.Abs(levels[k]-before[k]) > 0.01 {
				rt.Fatalf("line %d moved from %.4f to %.4f dB", k, before[k], levels[k])
			}
		}
	})
}

// TestTurns: a shaft at 12,000 rpm turns 200 times a second.
func TestTurns(t *testing.T) {
	turns := sweep(12000, 12000)
	if got := turns[8000]; math.Abs(got-200) > 1e-6 {
		t.Errorf("%v revolutions in a second at 12,000 rpm, want 200", got)
	}
}

func BenchmarkOrders(b *testing.B) {
	turns := sweep(12500, 13500)
	x := noise(len(turns), 0.1)
	var levels []float64
	b.ReportAllocs()
	for b.Loop() {
		var err error
		if levels, err = spectrum.Orders(levels, x, turns); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(2*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

func ExampleOrders() {
	// 2 s of an engine at 12,000 rpm that fires every second turn.
	turns := spectrum.ShaftAngle(16000, 8000, func(int) engine.RPM { return 12000 })
	x := noise(len(turns), 1e-3)
	tones(x, turns, 0.1, 0.5, 1, 1.5, 2)
	levels, err := spectrum.Orders(nil, x, turns)
	if err != nil {
		fmt.Println(err)
		return
	}
	half := levels[spectrum.LinesPerOrder/2-1]
	fmt.Println("half order clear of the floor:", half > 20)
	// Output: half order clear of the floor: true
}

package clip

import (
	"math"
	"math/rand/v2"
	"testing"
)

// chorus gives sines every 5 Hz from one frequency to another, of equal strength
// and drawn phase: sound in that band and nowhere else, by construction.
func chorus(n, rate int, from, to float64) []float32 {
	r := rand.New(rand.NewPCG(uint64(rate), uint64(from)))
	x := make([]float64, n)
	for f := from; f < to; f += 5 {
		sin, cos := math.Sincos(2 * math.Pi * r.Float64())
		ds, dc := math.Sincos(2 * math.Pi * f / float64(rate))
		for i := range x {
			x[i] += sin
			sin, cos = sin*dc+cos*ds, cos*dc-sin*ds
		}
	}
	out := make([]float32, n)
	for i, v := range x {
		out[i] = float32(0.2 * v / math.Sqrt((to-from)/5))
	}
	return out
}

// TestBand: the band that is found is the one that was put in. Below, the
// search goes from 500 Hz in thirds of an octave, a factor of 1.26; above, in
// steps of 100 Hz. A window of 80 ms blurs either edge by some 30 Hz more.
func TestBand(t *testing.T) {
	const third, step = 1.35, 130.0
	for name, c := range map[string]struct {
		rate     int
		from, to float64
	}{
		"telephone (300 to 3400 Hz, facts of the trade)": {8000, 300, 3400},
		"telephone, brought to a higher rate":            {44100, 300, 3400},
		"wide-band call (50 to 7000 Hz, AMR-WB)":         {16000, 50, 7000},
		"plain recorder":                                 {48000, 30, 16000},
		"high rate":                                      {192000, 100, 20000},
		"slow":                                           {4000, 60, 1990},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := newBandMeter(c.rate)
			m.push(chorus(c.rate, c.rate, c.from, c.to))
			low, high := m.band(Default().Band)
			if want := max(c.from, 40); float64(low) > want*third || float64(low) < want/third {
				t.Errorf("begins at %.0f Hz, want %.0f", low, want)
			}
			if math.Abs(float64(high)-c.to) > step {
				t.Errorf("ends at %.0f Hz, want %.0f", high, c.to)
			}
		})
	}
}

// TestBandPieces: how the sound is cut into pieces makes no difference.
func TestBandPieces(t *testing.T) {
	const rate = 22050
	x := chorus(2*rate, rate, 200, 5000)
	whole, pieces := newBandMeter(rate), newBandMeter(rate)
	whole.push(x)
	for r := rand.New(rand.NewPCG(1, 1)); len(x) > 0; {
		n := min(len(x), 1+r.IntN(3000))
		pieces.push(x[:n])
		x = x[n:]
	}
	a, b := whole.band(Default().Band)
	if c, d := pieces.band(Default().Band); a != c || b != d {
		t.Errorf("whole: %v to %v; in pieces: %v to %v", a, b, c, d)
	}
}

func TestBandNothing(t *testing.T) {
	for name, x := range map[string][]float32{
		"silence":          make([]float32, 20000),
		"less than a look": chorus(100, 8000, 300, 3400),
		"no sample at all": nil,
	} {
		m := newBandMeter(8000)
		m.push(x)
		if low, high := m.band(Default().Band); low != 0 || high != 0 {
			t.Errorf("%s: a band from %v to %v Hz", name, low, high)
		}
	}
}

func BenchmarkBand(b *testing.B) {
	const rate = 48000
	x := chorus(rate, rate, 100, 3000)
	m := newBandMeter(rate)
	for b.Loop() {
		m.push(x)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

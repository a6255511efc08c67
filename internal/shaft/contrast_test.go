package shaft

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

// contrastCase is a spectrum and by how much whole orders exceed the rest of it.
type contrastCase struct {
	name   string
	height func(hz float64) float64
	masked func(hz float64) bool
	want   [MaxPeriod]float64 // dB, for each firing period
}

// contrastCases has whole orders of f hertz in several surroundings.
func contrastCases(f float64) []contrastCase {
	// at gives which multiple of f/12 a frequency is nearest to: whole orders are
	// multiples of 12, those of every 2nd, 3rd and 4th turn of 6, 4 and 3.
	at := func(hz float64) int { return int(math.Round(hz / f * 12)) }
	return []contrastCase{
		{"whole orders 5 dB over the rest", func(hz float64) float64 {
			if at(hz)%12 == 0 {
				return 15
			}
			return 10
		}, nil, [MaxPeriod]float64{0, 5, 5, 5}},
		{"halves as strong, nothing else", func(hz float64) float64 {
			if at(hz)%6 == 0 {
				return 30
			}
			return 0
		}, nil, [MaxPeriod]float64{0, 0, 8, 8}},
		{"all the same, but falling", func(hz float64) float64 { return 30 - hz/100 }, nil, [MaxPeriod]float64{}},
		{"a foreign line, masked", func(hz float64) float64 {
			switch n := at(hz); {
			case n == 24:
				return 0
			case n%12 == 0:
				return 15
			}
			return 10
		}, func(hz float64) bool { return at(hz) == 24 }, [MaxPeriod]float64{0, 5, 5, 5}},
	}
}

// TestContrast: whole orders of 200 Hz exceed the orders beside them by as much as
// they were made to, 8 dB at most. A slope of the spectrum and a masked line count
// for nothing. Source: arithmetic.
func TestContrast(t *testing.T) {
	const binWidth, top, wanted = 1, 3400, 200
	o := Default()
	s := newFreqGrid(o, engine.TwoStrokeSingle)
	r := newStateIndex(s, 20, MaxPeriod)
	u := newLogFreqAxis(s, -s.below, top, binWidth)
	point := s.ceil(wanted * 0.999)
	f := s.freq(float64(point)) // within a step of 200 Hz
	for _, tt := range contrastCases(f) {
		masked := make([]bool, top/binWidth+2)
		for b := range masked {
			masked[b] = tt.masked != nil && tt.masked(float64(b*binWidth))
		}
		c := newContrast(s, u, &r, o.Contrast, masked)
		for i, b := range u.bin {
			c.levels[i] = quantizedLevel(math.Round(tt.height(float64(b)*binWidth) * levelSteps))
		}
		c.compute()
		for n := 1; n < MaxPeriod; n++ {
			if got := float64(c.sum[n][point-c.first[n]]); math.Abs(got-tt.want[n]) > 0.1 {
				t.Errorf("%s: firing every turn %d: %.2f dB, want %g", tt.name, n+1, got, tt.want[n])
			}
		}
	}
}

package shaft

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"topnote/internal/engine"
)

// loud gives noise in stretches of so many points, each at its level, dB.
func loud(points []int, level []float64) (x []float32) {
	random := rand.New(rand.NewPCG(1, 2))
	for i, n := range points {
		for range n * 160 {
			x = append(x, float32(math.Pow(10, level[i]/20)*random.NormFloat64()))
		}
	}
	return x
}

// levelsOf gives the level of each hop of a sound at 8 kHz, as it is heard in a block.
func levelsOf(x []float32, o Options) []float64 {
	return newFollower(8000, engine.Machine{Spec: engine.TwoStrokeSingle}, o).hear(x, len(x)/160+1).level
}

// TestClearStrays: what is followed where the engine idles is taken back, and full
// throttle is not: neither one that is as loud as the other, nor one beside which no
// throttle is seen to move, nor the idle itself.
func TestClearStrays(t *testing.T) {
	const soft, full = -40, -26
	opened := []([2]float64){{2, 3000}, {2.6, 3000}, {3, 8600}, {5, 8600}}
	join := func(a [][2]float64, b ...[2]float64) []Point { return append(course(a...), course(b...)...) }
	unsure := func(ps []Point, from int) []Point {
		for i := from; i < len(ps); i++ {
			ps[i].SD = 0.03 * ps[i].Speed
		}
		return ps
	}
	for _, c := range []struct {
		name   string
		ps     []Point
		points []int
		level  []float64
		gone   []int // points that are taken back
		kept   []int
	}{
		{"a second engine beside the idle", join([][2]float64{{0, 11400}, {2, 11400}}, opened...),
			[]int{130, 120}, []float64{soft, full}, []int{5, 95}, []int{110, 180}},
		{"as loud as full throttle", join([][2]float64{{0, 11400}, {2, 11400}}, opened...),
			[]int{100, 30, 120}, []float64{full, soft, full}, nil, []int{5, 95, 110, 180}},
		{"no throttle moves", join([][2]float64{{0, 11400}, {2, 11400}}, [2]float64{2, 6600}, [2]float64{5, 6700}),
			[]int{100, 150}, []float64{soft, full}, nil, []int{5, 95, 110, 180}},
		{"an idle beside a leap", join([][2]float64{{0, 3000}, {2, 3000}}, [2]float64{2, 9000}, [2]float64{3, 9000}, [2]float64{3.6, 3000}, [2]float64{5, 3000}),
			[]int{100, 60, 90}, []float64{soft, full, soft}, nil, []int{5, 95, 110, 240}},
		{"a voice after the throttle is shut", join(opened, [2]float64{5, 8600}, [2]float64{5.1, 10800}, [2]float64{6, 10200}),
			[]int{30, 120, 50}, []float64{soft, full, soft}, []int{165, 190}, []int{5, 100}},
		{"a fall that is followed upwards", unsure(join(opened, [2]float64{5, 8600}, [2]float64{5.1, 10800}, [2]float64{6, 10200}), 150),
			[]int{30, 120, 50}, []float64{soft, full, full - 6}, []int{165, 190}, []int{5, 100}},
		{"out of the cut, and a little softer", join(opened, [2]float64{5, 8600}, [2]float64{5.1, 10800}, [2]float64{6, 10800}),
			[]int{30, 120, 50}, []float64{soft, full, full - 6}, nil, []int{5, 100, 165, 190}},
		{"out of the cut, and louder", join(opened, [2]float64{5, 8600}, [2]float64{5.1, 10800}, [2]float64{6, 10800}),
			[]int{30, 170}, []float64{soft, full}, nil, []int{5, 100, 165, 190}},
		{"another opening, from further away", join(opened, [2]float64{5, 8600}, [2]float64{5.4, 3000}, [2]float64{6, 3000}, [2]float64{6.5, 9600}, [2]float64{8, 9600}),
			[]int{30, 120, 150}, []float64{soft, full, soft}, nil, []int{5, 100, 165, 190, 240, 290}},
		{"the same second engine, without a leap", join([][2]float64{{0, 11400}, {2, 11400}}, append(opened, [2]float64{5.2, 11400}, [2]float64{7, 11400})...),
			[]int{130, 120, 100}, []float64{soft, full, soft}, []int{5, 95, 270, 330}, []int{110, 180}},
	} {
		o := Default()
		j := job{rate: 8000, options: o, level: levelsOf(loud(c.points, c.level), o)}
		ps := append([]Point(nil), c.ps...)
		gone := j.clearStrays(ps)
		for _, i := range c.gone {
			if ps[i].Speed.Told() || !slices.ContainsFunc(gone, func(s stretch) bool { return s.from <= i && i < s.to }) {
				t.Errorf("%s: %.0f rpm is told at point %d", c.name, float64(ps[i].Speed), i)
			}
			if ps[i].Alternative != c.ps[i].Speed || ps[i].AlternativeShare != c.ps[i].Confidence {
				t.Errorf("%s: of %.0f rpm at point %d is kept %.0f", c.name, float64(c.ps[i].Speed), i, float64(ps[i].Alternative))
			}
		}
		for _, i := range c.kept {
			if ps[i] != c.ps[i] {
				t.Errorf("%s: %.0f rpm is taken back at point %d", c.name, float64(c.ps[i].Speed), i)
			}
		}
	}
}

// TestNoIdle: the speed from which an idle is an exception lies above the range, that of
// an entered idle where there is one.
func TestNoIdle(t *testing.T) {
	p := Default().Octave.Prior
	if v := p.noIdle(engine.Machine{}); v < p.IdleHigh || v > 5000 {
		t.Errorf("%.0f rpm is no idle", float64(v))
	}
	if v := p.noIdle(engine.Machine{Limits: engine.Limits{Idle: 4000}}); v < 4000*engine.RPM(p.OfIdleHigh) {
		t.Errorf("idle 4,000 entered: %.0f rpm is no idle", float64(v))
	}
}

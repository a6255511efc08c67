package shaft

import (
	"math"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// speedsAt gives points a hop apart: each speed, 0 for none, for so many points.
func speedsAt(parts ...[2]float64) (ps []Point) {
	for _, p := range parts {
		for range int(p[1]) {
			ps = append(ps, Point{Speed: engine.RPM(p[0]), SD: engine.RPM(p[0] * 1e-4)})
		}
	}
	return ps
}

// levelsAt gives levels a hop apart.
func levelsAt(parts ...[2]float64) (out []float64) {
	for _, p := range parts {
		for range int(p[1]) {
			out = append(out, p[0])
		}
	}
	return out
}

// TestCalls: what begins fast out of silence, ends so, or is silent again and again
// was never an engine; what begins or ends slowly, or in a sound as loud, may be one.
func TestCalls(t *testing.T) {
	o := Default()
	tests := []struct {
		name              string
		points            []Point
		levels            []float64
		born, gone, lulls bool
	}{
		{"a call", speedsAt([2]float64{0, 40}, [2]float64{9000, 50}, [2]float64{0, 40}), levelsAt([2]float64{-60, 40}, [2]float64{-20, 50}, [2]float64{-60, 40}), true, true, false},
		{"an engine starts at idle", speedsAt([2]float64{0, 40}, [2]float64{2800, 50}), levelsAt([2]float64{-60, 40}, [2]float64{-20, 50}), false, false, false},
		{"it is not followed at first", speedsAt([2]float64{0, 40}, [2]float64{9000, 50}), levelsAt([2]float64{-20, 90}), false, false, false},
		{"the clip begins at full throttle", speedsAt([2]float64{9000, 60}), levelsAt([2]float64{-20, 60}), false, false, false},
		{"the throttle closes, and the fall is lost", speedsAt([2]float64{9000, 60}, [2]float64{0, 40}), levelsAt([2]float64{-20, 60}, [2]float64{-40, 40}), false, false, false},
		{"silence was put before and after", speedsAt([2]float64{0, 40}, [2]float64{9000, 50}, [2]float64{0, 40}), levelsAt([2]float64{-100, 40}, [2]float64{-20, 50}, [2]float64{-100, 40}), false, false, false},
		{"syllables", speedsAt([2]float64{9000, 50}), levelsAt([2]float64{-20, 10}, [2]float64{-40, 1}, [2]float64{-20, 10}, [2]float64{-40, 1}, [2]float64{-20, 28}), false, false, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := newCalls(o.Calls, tt.points, tt.levels, o.Hop)
			for from, to := range runs(tt.points) {
				if got := c.born(from, to); got != tt.born {
					t.Errorf("born: %v", got)
				}
				if got := c.gone(from, to); got != tt.gone {
					t.Errorf("gone: %v", got)
				}
				if got := len(c.lulls(from, to)) == 2; got != tt.lulls {
					t.Errorf("lulls: %v", got)
				}
				c.clearSyllables(from, to, o.hops(o.Calls.Syllable))
				if got := !tt.points[from+12].Speed.Told(); got != tt.lulls {
					t.Errorf("syllables cleared: %v", got)
				}
			}
		})
	}
}

// TestClearTones: what never wanders is hum, a horn or an electric motor, and what leads
// up to it as well; the same speed with the wander of a shaft, points that were not
// refined, and what a throttle leads up to, as by a governor, are not.
func TestClearTones(t *testing.T) {
	o := Default()
	wanders, unrefined := speedsAt([2]float64{6000, 100}), speedsAt([2]float64{6000, 100})
	for i := range wanders {
		wanders[i].Speed *= engine.RPM(1 + 0.002*math.Sin(float64(i)/5))
		unrefined[i].SD = 0.02 * 6000
	}
	governed := speedsAt([2]float64{2800, 60}, [2]float64{3500, 6}, [2]float64{4400, 6}, [2]float64{5500, 6}, [2]float64{6900, 6}, [2]float64{8600, 6}, [2]float64{9000, 100})
	for _, tt := range []struct {
		name   string
		points []Point
		tone   bool
	}{
		{"hum", speedsAt([2]float64{6000, 100}), true}, {"a motor that runs up", speedsAt([2]float64{5500, 20}, [2]float64{6100, 100}), true},
		{"a shaft", wanders, false}, {"not refined", unrefined, false}, {"a throttle is opened", governed, false},
	} {
		o.clearTones(tt.points)
		if got := !slices.ContainsFunc(tt.points, func(p Point) bool { return p.Speed.Told() }); got != tt.tone {
			t.Errorf("%s: cleared: %v", tt.name, got)
		}
	}
}

// TestClearIslands: a stretch goes that no shaft comes to or leaves in the time; one
// that it does stays, and so do those on either side.
func TestClearIslands(t *testing.T) {
	tests := []struct {
		name   string
		points []Point
		want   []Point
	}{
		{"a voice over idle", speedsAt([2]float64{2800, 60}, [2]float64{11000, 20}, [2]float64{2800, 60}), speedsAt([2]float64{2800, 60}, [2]float64{0, 20}, [2]float64{2800, 60})},
		{"with gaps", speedsAt([2]float64{2800, 60}, [2]float64{0, 3}, [2]float64{11000, 20}, [2]float64{0, 3}, [2]float64{2800, 60}), speedsAt([2]float64{2800, 60}, [2]float64{0, 26}, [2]float64{2800, 60})},
		{"at the end", speedsAt([2]float64{2800, 60}, [2]float64{11000, 20}), speedsAt([2]float64{2800, 60}, [2]float64{11000, 20})},
		{"two of them", speedsAt([2]float64{2800, 20}, [2]float64{11000, 20}, [2]float64{2800, 20}, [2]float64{9000, 20}, [2]float64{2800, 20}), speedsAt([2]float64{2800, 20}, [2]float64{0, 20}, [2]float64{2800, 20}, [2]float64{0, 20}, [2]float64{2800, 20})},
		{"a throttle that is opened while nothing is told", speedsAt([2]float64{2800, 60}, [2]float64{0, 12}, [2]float64{11000, 20}), speedsAt([2]float64{2800, 60}, [2]float64{0, 12}, [2]float64{11000, 20})},
		{"a leap between two long ones", speedsAt([2]float64{2800, 60}, [2]float64{11000, 60}), speedsAt([2]float64{2800, 60}, [2]float64{11000, 60})},
		{"a wander", speedsAt([2]float64{9000, 20}, [2]float64{9300, 20}), speedsAt([2]float64{9000, 20}, [2]float64{9300, 20})},
	}
	for _, tt := range tests {
		Default().clearIslands(tt.points)
		for i, p := range tt.points {
			if p.Speed != tt.want[i].Speed {
				t.Errorf("%s: %v at point %d, want %v", tt.name, p.Speed, i, tt.want[i].Speed)
				break
			}
		}
	}
}

// TestDrowned: no speed is told where something else drowns the engine, and the rest
// stays told.
func TestDrowned(t *testing.T) {
	const rate, seconds, from, to = 8000, 8, 3.2, 4.2
	x := make(audio.Memory, rate*seconds)
	for i := range x {
		for k := 1.0; k <= 8; k++ {
			x[i] += float32(0.05 / k * math.Sin(2*math.Pi*(150*k*float64(i)/rate+0.3*k*math.Sin(6*float64(i)/rate))))
		}
	}
	o := Default()
	o.Drowned = []Span{{from, to}}
	tr, err := FollowWith(t.Context(), audio.Memory(addNoise(x, 1e-3, 1)), rate, engine.Machine{Spec: engine.TwoStrokeSingle}, o)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range tr.Points {
		if inside := p.At >= from && p.At < to; p.Speed.Told() == inside && p.At > 0.1 && p.At < seconds-0.1 {
			t.Errorf("at %.2f s: %v", float64(p.At), p.Speed)
		}
	}
	if got := shifted(o.Drowned, 1); !slices.Equal(got, []Span{{from - 1, to - 1}}) {
		t.Errorf("shifted: %v", got)
	}
}

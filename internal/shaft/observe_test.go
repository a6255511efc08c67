package shaft

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

// TestOver: in four hops a chance of 0.5 % each comes to 1 - 0.995^4 = 1.985 %,
// worked by hand, and what wanders at random goes twice as far as in one.
func TestOver(t *testing.T) {
	o := Options{Hop: 0.02, Transition: TransitionOptions{Open: 0.005, SteadySD: 0.008}}
	if one := o.over(1); math.Abs(one.Transition.Open-o.Transition.Open) > 1e-15 || one.Transition.SteadySD != o.Transition.SteadySD || one.Hop != o.Hop {
		t.Errorf("in one hop: %+v", one)
	}
	four := o.over(4)
	if math.Abs(four.Transition.Open-0.0198505) > 1e-7 || math.Abs(four.Transition.SteadySD-0.016) > 1e-12 || math.Abs(float64(four.Hop)-0.08) > 1e-12 {
		t.Errorf("in four hops: %+v", four)
	}
}

// TestObserveAdaptively: a steady shaft is looked at a stride apart, one that speeds up
// fast at every hop, and no hop is counted twice or left out.
func TestObserveAdaptively(t *testing.T) {
	const hops = 76
	steady := func(engine.Seconds) engine.Hz { return 190 }
	rise := func(at engine.Seconds) engine.Hz { return engine.Hz(70 * math.Exp(float64(at))) }
	for _, tt := range []struct {
		name        string
		fundamental func(engine.Seconds) engine.Hz
		least, most int // looks
	}{
		{"steady", steady, hops / 4, hops/4 + 5},
		{"rising e-fold in a second", rise, hops * 9 / 10, hops},
	} {
		x := addNoise(series(1.5, tt.fundamental, 17), 0.002, 1)
		f := newFollower(rate, engine.Machine{Spec: engine.TwoStrokeSingle}, Default())
		w, err := f.observationModel(f.o.Spectra[0], nil)
		if err != nil {
			t.Fatal(err)
		}
		frames, err := f.observeAdaptively(t.Context(), hops, w, x)
		if err != nil {
			t.Fatal(err)
		}
		if len(frames) < tt.least || len(frames) > tt.most {
			t.Errorf("%s: %d frames in %d hops, want %d to %d", tt.name, len(frames), hops, tt.least, tt.most)
		}
		for i, h := range frames[1:] {
			if h.hop-frames[i].hop != h.hopsSince || h.hopsSince < 1 || h.hopsSince > f.o.Stride {
				t.Fatalf("%s: frame %d is at hop %d, %d after that at %d", tt.name, i+1, h.hop, h.hopsSince, frames[i].hop)
			}
		}
		if frames[0].hop != 0 || frames[len(frames)-1].hop != hops-1 {
			t.Errorf("%s: frames from hop %d to %d, want 0 to %d", tt.name, frames[0].hop, frames[len(frames)-1].hop, hops-1)
		}
	}
}

// TestInterpolate: a point is put half-way between its neighbours only where they
// are clear, agree, and the lattice found it there, too.
func TestInterpolate(t *testing.T) {
	o := Default()
	for _, tt := range []struct {
		name   string
		speeds [3]engine.RPM
		clear  float64
		want   bool
	}{
		{"agree", [3]engine.RPM{9000, 9100, 9040}, 12, true},
		{"unclear", [3]engine.RPM{9000, 9100, 9040}, 3, false},
		{"apart", [3]engine.RPM{9000, 9100, 9200}, 12, false},
		{"another reading", [3]engine.RPM{9000, 18000, 9040}, 12, false},
		{"no speed", [3]engine.RPM{9000, 0, 9040}, 12, false},
		{"no speed after it", [3]engine.RPM{9000, 9100, 0}, 12, false},
	} {
		ps := points(3, func(i int) engine.RPM { return tt.speeds[i] })
		clear := []float64{tt.clear, 0, tt.clear}
		want := tt.speeds[1]
		if tt.want {
			want = 9020
		}
		if got := o.interpolate(ps, clear, 1); got != tt.want || ps[1].Speed != want {
			t.Errorf("%s: %v, %v rpm; want %v, %v", tt.name, got, ps[1].Speed, tt.want, want)
		}
	}
	if ps := points(2, func(int) engine.RPM { return 9000 }); o.interpolate(ps, []float64{12, 12}, 1) {
		t.Error("the last point lies between nothing")
	}
}

package engine_test

import (
	"errors"
	"math"
	"testing"

	"topnote/internal/engine"
)

// TestFiringFrequency holds the conversions to tables.
//
// Source: identity of the working cycle. A two-stroke cylinder fires once a
// revolution, a four-stroke cylinder once in two; a hertz is 60 a minute. The
// frequencies are worked out by hand.
func TestFiringFrequency(t *testing.T) {
	tests := []struct {
		strokes, cylinders int
		speed              engine.RPM
		order1, firing     engine.Hz
	}{
		{2, 1, 2500, 41.667, 41.667},
		{2, 1, 2800, 46.667, 46.667},
		{2, 1, 3000, 50, 50},
		{2, 1, 4000, 66.667, 66.667},
		{2, 1, 6000, 100, 100},
		{2, 1, 9000, 150, 150},
		{2, 1, 10000, 166.667, 166.667},
		{2, 1, 12500, 208.333, 208.333},
		{2, 1, 13500, 225, 225},
		{2, 1, 15000, 250, 250},
		{2, 2, 9000, 150, 300},
		{2, 3, 6000, 100, 300},
		{4, 1, 3000, 50, 25},
		{4, 1, 3600, 60, 30},
		{4, 1, 13500, 225, 112.5},
		{4, 2, 3000, 50, 50},
		{4, 4, 3000, 50, 100},
		{4, 6, 6000, 100, 300},
		{4, 8, 1500, 25, 100},
	}
	const printed = 0.0005 // three decimals
	for _, tt := range tests {
		e := engine.Spec{Strokes: tt.strokes, Cylinders: tt.cylinders}
		if got := tt.speed.Hz(); math.Abs(float64(got-tt.order1)) > printed {
			t.Errorf("%v rpm: order 1 at %.3f Hz, want %.3f", tt.speed, got, tt.order1)
		}
		if got := e.FiringFrequency(tt.speed); math.Abs(float64(got-tt.firing)) > printed {
			t.Errorf("%+v at %v rpm fires at %.3f Hz, want %.3f", e, tt.speed, got, tt.firing)
		}
		if back := tt.speed.Hz().RPM(); math.Abs(float64(back/tt.speed)-1) > 1e-12 {
			t.Errorf("%v rpm comes back as %v", tt.speed, back)
		}
	}
}

func TestEngineCheck(t *testing.T) {
	for _, e := range []engine.Spec{{}, {Strokes: 2}, {Cylinders: 1}, {Strokes: 3, Cylinders: 1}, {Strokes: 2, Cylinders: -1}, {Strokes: 2, Cylinders: 13}, {Strokes: 4, Cylinders: 4}} {
		if err := e.Check(); !errors.Is(err, engine.ErrSpec) {
			t.Errorf("%+v: %v, want ErrEngine", e, err)
		}
	}
	for _, e := range []engine.Spec{engine.TwoStrokeSingle, {Strokes: 2, Cylinders: 12}, {Strokes: 4, Cylinders: 3}} {
		if err := e.Check(); err != nil {
			t.Errorf("%+v: %v", e, err)
		}
	}
}

func TestTold(t *testing.T) {
	if engine.RPM(0).Told() || !engine.RPM(1).Told() {
		t.Error("0 is not told and 1 is")
	}
}

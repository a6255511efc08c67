package air_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/air"
	"topnote/internal/engine"
)

var bench = air.State{Temp: 20, Pressure: 101325, RH: 50}

// filterOf is a filter of which both figures were measured.
func filterOf(drop, venturi engine.Pascal) air.Filter {
	return air.Filter{Drop: &drop, Venturi: &venturi}
}

func effect(t *testing.T, f air.Filter) air.FilterEffect {
	t.Helper()
	return must(f.Effect(bench, air.Default()))(t)
}

func TestFilterEffect(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name               string
		f                  air.Filter
		open, behind, flow engine.Percent
		tol                engine.Percent
		source             string
	}{
		{"no drop", filterOf(0, 4000), 0, 0, 0, 1e-12, "identity"},
		// r = 1 - 1013.25/101325 = 0.99; fuel sqrt(0.99 + 0.25331) = 1.11504;
		// 0.99/1.11504 = 0.88786. Behind: sqrt(0.99) = 0.99499.
		{"a hundredth of the air", filterOf(1013.25, 4000), -11.214, -0.501, -1, 0.001, "worked by hand"},
		// Small drops: d shift = -drop/(2 venturi) - drop/(2 pressure).
		{"small drop", filterOf(10, 4000), -0.125 - 0.005, -0.005, -0.01, 0.001, "first term of the series"},
	}
	for _, tt := range tests {
		got := effect(t, tt.f)
		if !near(got.Open, tt.open, tt.tol) || !near(got.Behind, tt.behind, tt.tol) || !near(got.AirFlow, tt.flow, tt.tol) {
			t.Errorf("%s: got %.4f, %.4f, %.4f; want %v, %v, %v (%s)", tt.name, got.Open, got.Behind, got.AirFlow, tt.open, tt.behind, tt.flow, tt.source)
		}
	}
}

func TestFilterAssumptions(t *testing.T) {
	t.Parallel()
	o := air.Default()
	got := effect(t, air.Filter{})
	if got.Drop != o.AssumedDrop || !got.DropAssumed || !got.VenturiAssumed {
		t.Errorf("nothing measured: got %+v", got)
	}
	// rho v^2/2 with 1.1993 kg/m3 and 80 m/s is 3838 Pa.
	if !near(got.Venturi, 3838, 1) {
		t.Errorf("venturi depression %v, worked by hand 3838 Pa", got.Venturi)
	}
	measured := effect(t, filterOf(got.Drop, got.Venturi))
	if measured.DropAssumed || measured.VenturiAssumed || measured.Open != got.Open || measured.SD >= got.SD {
		t.Errorf("measured %+v, assumed %+v: want the same shift, better known", measured, got)
	}
}

// Loading up goes rich (common practice), the more the worse, and venting behind
// the filter takes nearly all of it away.
func TestFilterSigns(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawState(t, "air")
		venturi := engine.Pascal(rapid.Float64Range(500, 10000).Draw(t, "venturi"))
		drop := engine.Pascal(rapid.Float64Range(1, 5000).Draw(t, "drop"))
		loaded, err1 := filterOf(drop, venturi).Effect(s, air.Default())
		worse, err2 := filterOf(1.5*drop, venturi).Effect(s, air.Default())
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		if !(worse.Open < loaded.Open && loaded.Open < loaded.Behind && loaded.Behind < 0) {
			t.Fatalf("worse %v, loaded %v, behind %v: want rising to 0", worse.Open, loaded.Open, loaded.Behind)
		}
	})
}

func TestFilterRefuses(t *testing.T) {
	t.Parallel()
	for _, f := range []air.Filter{
		{Drop: new(engine.Pascal(-1))},
		{Drop: new(engine.Pascal(20000))},
		{Drop: new(engine.Pascal(math.NaN()))},
		filterOf(100, -4000),
		filterOf(100, 0),
		filterOf(100, 1),
		filterOf(100, engine.Pascal(math.Inf(1))),
	} {
		var problem *air.Problem
		if _, err := f.Effect(bench, air.Default()); !errors.As(err, &problem) {
			t.Errorf("%+v: got %v, want a Problem", f, err)
		}
	}
}

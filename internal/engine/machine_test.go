package engine_test

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"topnote/internal/engine"
)

// whole is a machine of which everything is known.
var whole = engine.Machine{
	Spec:   engine.TwoStrokeSingle,
	Limits: engine.Limits{Max: 10200, Idle: 2700, Clutch: 3700},
	Build: engine.Build{
		Kind: engine.CutOffSaw, Carburettor: engine.Capped, Governor: engine.Yes, CoilLimit: engine.No, Charge: engine.Stratified,
		Catalyst: engine.No, FilterCompensated: engine.Yes, GearRatio: 2, LimitOf: engine.OfSpindle, LimitIs: engine.SetTo, Tolerance: 200,
	},
	State: engine.State{Warm: engine.Yes, ChokeOpen: engine.Yes, FilterClean: engine.No},
}

// TestFields sets every field from another machine's and wants that machine: no
// field of Build or State is missing from the list. What cannot be is refused, and
// nothing takes a field back.
func TestFields(t *testing.T) {
	m := engine.Machine{Spec: whole.Spec, Limits: whole.Limits}
	for _, f := range engine.Fields {
		if f.Get(whole) == "" || f.Get(m) != "" {
			t.Errorf("%s is %q where all is known and %q where nothing is", f.Name, f.Get(whole), f.Get(m))
		}
		if err := f.Set(&m, f.Get(whole)); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
	if m != whole {
		t.Errorf("%+v, want %+v", m, whole)
	}
	for _, f := range engine.Fields {
		for _, no := range []string{"perhaps", "-1", "NaN", "Inf", "1e99"} {
			if err := f.Set(&m, no); !errors.Is(err, engine.ErrChoice) {
				t.Errorf("%s takes %q: %v", f.Name, no, err)
			}
		}
		if m != whole {
			t.Fatalf("a refused entry has changed %s", f.Name)
		}
	}
	for _, f := range engine.Fields {
		if err := f.Set(&m, ""); err != nil {
			t.Errorf("%s cannot be taken back: %v", f.Name, err)
		}
	}
	if (m != engine.Machine{Spec: whole.Spec, Limits: whole.Limits}) {
		t.Errorf("something is left: %+v", m)
	}
}

// TestBuildJSON wants the fields in JSON under their keys and nothing of what is not
// known.
func TestBuildJSON(t *testing.T) {
	text, err := json.Marshal(engine.Build{})
	if err != nil || string(text) != "{}" {
		t.Errorf("nothing known is %s, %v", text, err)
	}
	var got map[string]any
	for _, part := range []any{whole.Build, whole.State} {
		text, err := json.Marshal(part)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(text, &got); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range engine.Fields {
		key := f.Key()
		if key == "tolerance" {
			key += "_rpm"
		}
		if got[key] == nil {
			t.Errorf("%s is not in %v", key, got)
		}
		delete(got, key)
	}
	if len(got) > 0 {
		t.Errorf("fields of no name: %v", got)
	}
}

func TestBuildCheck(t *testing.T) {
	for name, c := range map[string]struct {
		build engine.Build
		want  error
	}{
		"nothing known":              {engine.Build{}, nil},
		"everything known":           {whole.Build, nil},
		"no such kind":               {engine.Build{Kind: "tractor"}, engine.ErrChoice},
		"no such answer":             {engine.Build{Governor: "maybe"}, engine.ErrChoice},
		"ratio of nothing":           {engine.Build{GearRatio: -2}, engine.ErrGearRatio},
		"ratio without a number":     {engine.Build{GearRatio: math.NaN()}, engine.ErrGearRatio},
		"ratio of thousands":         {engine.Build{GearRatio: 5000}, engine.ErrGearRatio},
		"spindle without a ratio":    {engine.Build{LimitOf: engine.OfSpindle}, engine.ErrNoGearRatio},
		"engine without a ratio":     {engine.Build{LimitOf: engine.OfEngine}, nil},
		"tolerance of a maximum":     {engine.Build{Tolerance: 100}, engine.ErrTolerance},
		"tolerance without a number": {engine.Build{LimitIs: engine.SetTo, Tolerance: engine.RPM(math.NaN())}, engine.ErrTolerance},
		"set-to without a tolerance": {engine.Build{LimitIs: engine.SetTo}, nil},
	} {
		if err := c.build.Check(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// TestEntered holds the figures of a plate to those of the engine, worked out by
// hand: a wheel of 5,100 rpm on a drive of 2 : 1 is an engine of 10,200.
func TestEntered(t *testing.T) {
	plate := whole
	plate.Limits.Max, plate.Build.Tolerance = 5100, 100
	if got := plate.FromEntered(); got != whole {
		t.Errorf("%+v, want %+v", got, whole)
	}
	if got := whole.Entered(); got != plate {
		t.Errorf("%+v, want %+v", got, plate)
	}
	ofEngine := whole
	ofEngine.Build.LimitOf = engine.OfEngine
	if ofEngine.Entered() != ofEngine || ofEngine.FromEntered() != ofEngine {
		t.Error("a limit of the engine is changed by the gear ratio")
	}
}

func TestBand(t *testing.T) {
	m := engine.Machine{Limits: engine.Limits{Max: 13000}}
	if m.Ceiling() != 13000 || m.Floor() != 0 {
		t.Errorf("a maximum is a band from %v to %v", m.Floor(), m.Ceiling())
	}
	m.Build.LimitIs = engine.SetTo
	if m.Ceiling() != 13000 || m.Floor() != 0 {
		t.Errorf("a set-to figure without a tolerance is a band from %v to %v", m.Floor(), m.Ceiling())
	}
	m.Build.Tolerance = 200
	if m.Ceiling() != 13200 || m.Floor() != 12800 {
		t.Errorf("13,000 +- 200 is a band from %v to %v", m.Floor(), m.Ceiling())
	}
	m.Limits.Max = 0
	if m.Ceiling() != 0 || m.Floor() != 0 {
		t.Error("a band without a limit")
	}
}

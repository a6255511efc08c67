package engine

import (
	"slices"
	"strconv"
	"strings"
)

// Field is one thing that can be known of a machine, its build or its state, for
// whoever deals with all of them alike: flags, forms, listings.
type Field struct {
	Name    string   // as its flag is called
	Choices []string // what can be answered; nil: a number, of 0 or more
	OfPass  bool     // it is part of the State, which is asked for with each pass
	Get     func(Machine) string
	Set     func(*Machine, string) error // "" for not known; ErrChoice for what it cannot be
}

// Key gives the name as JSON and forms have it.
func (f Field) Key() string { return strings.ReplaceAll(f.Name, "-", "_") }

// Fields are the fields of Build, then those of State. The list is not to be changed.
var Fields = []Field{
	choice("kind", func(m *Machine) *Kind { return &m.Build.Kind },
		Saw, CutOffSaw, Trimmer, BrushCutter, HedgeTrimmer, Blower, Auger, Pump, OtherKind),
	choice("carburettor", func(m *Machine) *Carburettor { return &m.Build.Carburettor }, Screws, Capped, FixedJets, SelfSetting),
	choice("governor", func(m *Machine) *Answer { return &m.Build.Governor }, Yes, No),
	choice("coil-limit", func(m *Machine) *Answer { return &m.Build.CoilLimit }, Yes, No),
	choice("charge", func(m *Machine) *Charge { return &m.Build.Charge }, PlainCharge, Stratified),
	choice("catalyst", func(m *Machine) *Answer { return &m.Build.Catalyst }, Yes, No),
	choice("filter-compensated", func(m *Machine) *Answer { return &m.Build.FilterCompensated }, Yes, No),
	number("gear-ratio", func(m *Machine) *float64 { return &m.Build.GearRatio }),
	choice("limit-of", func(m *Machine) *LimitOf { return &m.Build.LimitOf }, OfEngine, OfSpindle),
	choice("limit-is", func(m *Machine) *LimitIs { return &m.Build.LimitIs }, Maximum, SetTo),
	number("tolerance", func(m *Machine) *RPM { return &m.Build.Tolerance }),

	ofPass(choice("warm", func(m *Machine) *Answer { return &m.State.Warm }, Yes, No)),
	ofPass(choice("choke-open", func(m *Machine) *Answer { return &m.State.ChokeOpen }, Yes, No)),
	ofPass(choice("filter-clean", func(m *Machine) *Answer { return &m.State.FilterClean }, Yes, No)),
}

// choice makes a field that is one of several words.
func choice[T ~string](name string, of func(*Machine) *T, choices ...T) Field {
	f := Field{Name: name, Get: func(m Machine) string { return string(*of(&m)) }}
	for _, c := range choices {
		f.Choices = append(f.Choices, string(c))
	}
	f.Set = func(m *Machine, text string) error {
		if text != "" && !slices.Contains(f.Choices, text) {
			return ErrChoice
		}
		*of(m) = T(text)
		return nil
	}
	return f
}

// maxEntered bounds the numbers that can be entered.
const maxEntered = 100_000

// number makes a field that is a number; 0 is not known.
func number[T ~float64](name string, of func(*Machine) *T) Field {
	get := func(m Machine) string {
		if *of(&m) == 0 {
			return ""
		}
		return strconv.FormatFloat(Round(*of(&m), 1000), 'f', -1, 64)
	}
	return Field{Name: name, Get: get, Set: func(m *Machine, text string) error {
		var v float64
		if text != "" {
			var err error
			if v, err = strconv.ParseFloat(text, 64); err != nil || !(v >= 0 && v <= maxEntered) {
				return ErrChoice
			}
		}
		*of(m) = T(v)
		return nil
	}}
}

func ofPass(f Field) Field {
	f.OfPass = true
	return f
}

// choicesAllowed reports whether every field with choices has one of them or none.
func choicesAllowed(m Machine) bool {
	return !slices.ContainsFunc(Fields, func(f Field) bool {
		value := f.Get(m)
		return f.Choices != nil && value != "" && !slices.Contains(f.Choices, value)
	})
}

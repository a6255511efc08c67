package entry

import (
	"errors"
	"strconv"

	"topnote/internal/engine"
)

// The fields of a form that are not engine.Fields, by their names.
const (
	FieldLimit     = "limit"
	FieldIdle      = "idle"
	FieldClutch    = "clutch"
	FieldStrokes   = "strokes"
	FieldCylinders = "cylinders"
)

// Read reads the fields of a form; those that are empty or missing are as in base. Speeds
// stand in it as in the handbook, and are given as speeds of the engine. The error is a
// *Refusal.
func Read(fields map[string]string, base engine.Machine) (engine.Machine, error) {
	m := base.Entered()
	l := &m.Limits
	for _, speed := range []struct {
		field string
		to    *engine.RPM
	}{{FieldLimit, &l.Max}, {FieldIdle, &l.Idle}, {FieldClutch, &l.Clutch}} {
		if text := fields[speed.field]; text != "" {
			v, err := ParseSpeed(text)
			if err != nil {
				return m, named(speed.field, err)
			}
			*speed.to = v
		}
	}
	for _, number := range []struct {
		field string
		to    *int
	}{{FieldStrokes, &m.Spec.Strokes}, {FieldCylinders, &m.Spec.Cylinders}} {
		if text := fields[number.field]; text != "" {
			v, err := strconv.Atoi(text)
			if err != nil {
				return m, named(number.field, refuseWhole(text))
			}
			*number.to = v
		}
	}
	for _, f := range engine.Fields {
		if text := fields[f.Key()]; text != "" {
			if err := SetField(&m, f, text); err != nil {
				return m, named(f.Name, err)
			}
		}
	}
	m = m.FromEntered()
	return m, Check(m)
}

// named puts the name of a field before the sentence of a refusal.
func named(field string, err error) error {
	var r *Refusal
	if !errors.As(err, &r) {
		return err
	}
	return &Refusal{field + ": " + r.Says, r.Do}
}

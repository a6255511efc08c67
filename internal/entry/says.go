package entry

import (
	"errors"
	"fmt"
	"strings"

	"topnote/internal/engine"
)

// Every sentence of this package that a user can read is in this file.

// How the entered speeds are called.
const (
	nameLimit  = "the limit"
	nameIdle   = "the idle speed"
	nameClutch = "the clutch engagement speed"
)

// doWrite shows the two forms that are always understood.
const doWrite = "write it in rpm as 13500 or 13,500"

func refuseNoSpeed(text string) *Refusal {
	return &Refusal{fmt.Sprintf("%q is not a speed", text), doWrite}
}

func refuseTwoReadings(text string) *Refusal {
	return &Refusal{fmt.Sprintf("%q can be read as more than one speed", text), doWrite}
}

func refuseRange(v, lowest, highest engine.RPM) *Refusal {
	return &Refusal{
		fmt.Sprintf("%s rpm is outside what can be judged, %s to %s rpm",
			engine.FormatWhole(v), engine.FormatWhole(lowest), engine.FormatWhole(highest)),
		"see the machine's handbook or its rating plate for the right figure",
	}
}

func refuseEngine(e engine.Spec) *Refusal {
	return &Refusal{
		fmt.Sprintf("an engine with strokes %d, cylinders %d cannot be measured", e.Strokes, e.Cylinders),
		"enter 2 strokes and 1 to 12 cylinders, or 4 strokes and 1 to 3",
	}
}

// refuseBuild says what of a machine's build cannot be.
func refuseBuild(err error) *Refusal {
	switch {
	case errors.Is(err, engine.ErrGearRatio):
		return &Refusal{fmt.Sprintf("a gear ratio is from %v to %v turns of the engine for one of the spindle", engine.MinGearRatio, engine.MaxGearRatio),
			"see the machine's handbook for it"}
	case errors.Is(err, engine.ErrNoGearRatio):
		return &Refusal{"the limit is a speed of the spindle, and no gear ratio was entered", "enter the gear ratio, or the limit as a speed of the engine"}
	case errors.Is(err, engine.ErrTolerance):
		return &Refusal{"a tolerance belongs to a limit that is a set-to figure", "say that the limit is set-to, or leave the tolerance out"}
	}
	return &Refusal{"something entered about the machine is not one of the possible answers", "leave it out where it is not known"}
}

// refuseAnswer says that a field of a machine cannot have a value.
func refuseAnswer(f engine.Field, text string) *Refusal {
	if f.Choices == nil {
		return &Refusal{fmt.Sprintf("%q is not a number of 0 or more", text), "write it in figures, such as 1.5"}
	}
	return &Refusal{fmt.Sprintf("%q is not one of the possible answers", text), "say " + strings.Join(f.Choices, ", ") + ", or leave it out where it is not known"}
}

func refuseWhole(text string) *Refusal {
	return &Refusal{fmt.Sprintf("%q is no whole number", text), "write one in figures, such as 2"}
}

func refuseOrder(lowName string, low engine.RPM, highName string, high engine.RPM) *Refusal {
	return &Refusal{
		fmt.Sprintf("%s of %s rpm is not below %s of %s rpm",
			lowName, engine.FormatWhole(low), highName, engine.FormatWhole(high)),
		"check that the two are not mixed up",
	}
}

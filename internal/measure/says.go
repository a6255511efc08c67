package measure

import (
	"fmt"

	"topnote/internal/engine"
	"topnote/internal/report"
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
		"see the machine's handbook or its plate for the right figure",
	}
}

func refuseEngine(e engine.Spec) *Refusal {
	return &Refusal{
		fmt.Sprintf("an engine with strokes %d, cylinders %d cannot be measured", e.Strokes, e.Cylinders),
		"enter 2 or 4 strokes and 1 to 12 cylinders",
	}
}

func refusePasses(n int) *Refusal {
	return &Refusal{
		fmt.Sprintf("%d passes cannot be compared", n),
		fmt.Sprintf("name 2 to %d recordings", report.MaxPasses),
	}
}

func refuseOrder(lowName string, low engine.RPM, highName string, high engine.RPM) *Refusal {
	return &Refusal{
		fmt.Sprintf("%s of %s rpm is not below %s of %s rpm",
			lowName, engine.FormatWhole(low), highName, engine.FormatWhole(high)),
		"see that the two are not mixed up",
	}
}

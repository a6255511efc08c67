package verdict

import (
	"fmt"
	"math"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// How figures are written in a sentence.

// rpm writes the size of a speed or of a difference: "12,840 rpm".
func rpm(v engine.RPM) string { return number(v) + " rpm" }

// number writes it without its unit: "12,840".
func number(v engine.RPM) string { return engine.FormatTens(math.Abs(float64(v))) }

// figure writes a speed with its uncertainty: "12,840 rpm (give or take 70)".
func figure(f pass.Figure) string {
	return fmt.Sprintf("%s (give or take %s)", rpm(f.Speed), engine.FormatHalfWidth(f.SD))
}

// stretch writes when something was heard: "from 3.1 s to 6.0 s".
func stretch(from, to engine.Seconds) string {
	return fmt.Sprintf("from %s to %s", engine.FormatSeconds(max(0, from)), engine.FormatSeconds(to))
}

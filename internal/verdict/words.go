package verdict

import (
	"fmt"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// How figures are written in a sentence.

// rpm writes a speed, or a difference of speeds with its sign: "12,840 rpm".
func rpm(v engine.RPM) string { return number(v) + " rpm" }

// number writes it without its unit: "12,840".
func number(v engine.RPM) string { return engine.FormatTens(v) }

// apart writes how far a speed is from another, and on which side: "640 rpm
// under", or "over".
func apart(speed, from engine.RPM, under, over string) string {
	if speed >= from {
		return rpm(speed-from) + " " + over
	}
	return rpm(from-speed) + " " + under
}

// figure writes a speed with its uncertainty: "12,840 rpm (give or take 70)".
func figure(f pass.Figure) string {
	return fmt.Sprintf("%s (give or take %s)", rpm(f.Speed), engine.FormatHalfWidth(f.SD))
}

// timeSpan writes when something was: "from 3.1 s to 6.0 s".
func timeSpan(from, to engine.Seconds) string {
	return fmt.Sprintf("from %s to %s", engine.FormatSeconds(max(0, from)), engine.FormatSeconds(to))
}

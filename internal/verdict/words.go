package verdict

import (
	"fmt"
	"math"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// How figures are written in a sentence.

// rpm writes a speed, or a difference of speeds with its sign: "12,840 rpm".
func rpm(v engine.RPM) string { return number(v) + " rpm" }

// number writes it without its unit: "12,840".
func number(v engine.RPM) string { return engine.FormatTens(v) }

// entered writes a speed as it was entered: "13,500 rpm".
func entered(v engine.RPM) string { return engine.FormatWhole(v) + " rpm" }

// apart writes how far a measured speed is from one that was entered, and on which
// side: "640 rpm under", or "over"; "just under" where the two read the same.
func apart(speed, from engine.RPM, under, over string) string {
	side := under
	if speed >= from {
		side = over
	}
	margin := engine.Margin(speed, from)
	if margin == 0 {
		return "just " + side
	}
	return engine.FormatWhole(engine.RPM(math.Abs(float64(margin)))) + " rpm " + side
}

// figure writes a speed with its uncertainty: "12,840 ± 70 rpm".
func figure(f pass.Figure) string {
	return fmt.Sprintf("%s ± %s rpm", number(f.Speed), engine.FormatHalfWidth(f.SD))
}

// timeSpan writes when something was: "from 3.1 s to 6.0 s".
func timeSpan(from, to engine.Seconds) string {
	return fmt.Sprintf("from %s to %s", engine.FormatSeconds(max(0, from)), engine.FormatSeconds(to))
}

// shortOf writes a length of time that is shorter than another: "0.7 s only", and "just under
// 1.0 s" where both are the same to a tenth.
func shortOf(t, other engine.Seconds) string {
	if written := engine.FormatSeconds(t); written != engine.FormatSeconds(other) {
		return written + " only"
	}
	return "just under " + engine.FormatSeconds(other)
}

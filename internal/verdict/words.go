package verdict

import (
	"fmt"
	"math"
	"strconv"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// How figures are written in a sentence.

// twoSD is how many standard deviations hold 95 in 100 readings (1.96 of a
// normal distribution, rounded up).
const twoSD = 2

// fine is what speeds in a sentence are rounded to: nobody sets a screw finer.
const fine = 10

// rpm writes a speed rounded to 10 rpm: "12,840 rpm".
func rpm(v engine.RPM) string { return number(v) + " rpm" }

// number writes a speed without its unit: "12,840".
func number(v engine.RPM) string {
	n := int64(math.Round(math.Abs(float64(v))/fine)) * fine
	digits := strconv.FormatInt(n, 10)
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return digits
}

// figure writes a speed with its uncertainty, rounded up so as to promise no
// more than is known: "12,840 rpm (give or take 70)".
func figure(f pass.Figure) string {
	off := engine.RPM(math.Ceil(twoSD*float64(f.SD)/fine) * fine)
	return fmt.Sprintf("%s (give or take %s)", rpm(f.Speed), number(off))
}

// stretch writes when something was heard: "from 3.1 s to 6.0 s".
func stretch(from, to engine.Seconds) string {
	return fmt.Sprintf("from %.1f s to %.1f s", max(0, float64(from)), float64(to))
}

// seconds writes a length of time: "0.7 s".
func seconds(d engine.Seconds) string { return fmt.Sprintf("%.1f s", float64(d)) }

// percent writes a share: "45 %".
func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

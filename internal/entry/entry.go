// Package entry reads what a person enters about a machine: speeds, its engine and what
// else is known of it. What cannot be used is a *Refusal, in words for people. Start with
// Read, which reads a form.
package entry

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// Refusal is why something that a person entered cannot be used, in words for
// people. It names no flag and no field: the caller knows which it was.
type Refusal struct {
	Says string // what is wrong: starts in lower case, no full stop
	Do   string // what to do about it: likewise
}

// Error gives both sentences on one line.
func (r *Refusal) Error() string { return r.Says + "; " + r.Do }

// ParseSpeed reads a speed in rpm as people write it: 13500, 13,500, 13 500 or either
// with "rpm" behind it. A number that could mean two speeds, such as 13.500,
// is refused, not guessed. The error is a *Refusal.
func ParseSpeed(text string) (engine.RPM, error) {
	number := strings.TrimSpace(strings.TrimSuffix(strings.ToLower(strings.TrimSpace(text)), "rpm"))
	number = strings.Map(func(c rune) rune {
		if unicode.Is(unicode.Zs, c) { // the spaces between thousands, no-break and thin ones too
			return ' '
		}
		return c
	}, number)
	whole, thousands, grouped := strings.Cut(number, ",")
	if !grouped {
		whole, thousands, grouped = strings.Cut(number, " ")
	}
	switch {
	case grouped && digits(whole) && len(whole) <= 3 && digits(thousands) && len(thousands) == 3:
		number = whole + thousands
	case strings.ContainsAny(number, ".,") && strings.Trim(number, "0123456789.,") == "":
		return 0, refuseTwoReadings(text)
	case !digits(number):
		return 0, refuseNoSpeed(text)
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil { // too many digits for any number
		return 0, refuseNoSpeed(text)
	}
	return checkSpeed(engine.RPM(v))
}

// digits reports whether text is made of the digits 0 to 9 and nothing else.
func digits(text string) bool {
	return text != "" && strings.Trim(text, "0123456789") == ""
}

// SetField enters what is known of a field of a machine as people write it; "none"
// takes it back. The error is a *Refusal.
func SetField(m *engine.Machine, f engine.Field, text string) error {
	entry := strings.ToLower(strings.TrimSpace(text))
	if entry == "none" || entry == "unknown" {
		entry = ""
	}
	if f.Set(m, entry) != nil {
		return refuseAnswer(f, text)
	}
	return nil
}

// room is how much of the range of the search stays above the highest limit
// that can be entered: the speed of an engine that races past its limit must still
// be found there, or it would be read at half its speed.
const room = 0.1

// speeds gives the lowest and highest speed that can be entered.
func speeds() (lowest, highest engine.RPM) {
	o := shaft.Default()
	const step = 100 // a round number reads better
	return o.MinSpeed, engine.RPM(math.Floor(float64(o.MaxSpeed)*(1-room)/step) * step)
}

// checkSpeed refuses a speed that the search cannot reach, and what is no
// number at all.
func checkSpeed(v engine.RPM) (engine.RPM, error) {
	lowest, highest := speeds()
	if v >= lowest && v <= highest {
		return v, nil
	}
	if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
		return 0, refuseNoSpeed(fmt.Sprint(float64(v)))
	}
	return 0, refuseRange(v, lowest, highest)
}

// Check refuses an engine that cannot be measured and entered speeds that
// contradict each other. Speeds of 0 were not entered. The error is a *Refusal.
func Check(q engine.Machine) error {
	if q.Spec.Check() != nil {
		return refuseEngine(q.Spec)
	}
	if err := q.Build.Check(); err != nil {
		return refuseBuild(err)
	}
	l := q.Limits
	for _, v := range []engine.RPM{l.Max, l.Idle, l.Clutch} {
		if v == 0 {
			continue
		}
		if _, err := checkSpeed(v); err != nil {
			return err
		}
	}
	for _, pair := range []struct {
		low, high         engine.RPM
		lowName, highName string
	}{
		{l.Idle, l.Max, nameIdle, nameLimit},
		{l.Clutch, l.Max, nameClutch, nameLimit},
		{l.Idle, l.Clutch, nameIdle, nameClutch},
	} {
		if pair.low > 0 && pair.high > 0 && pair.low >= pair.high {
			return refuseOrder(pair.lowName, pair.low, pair.highName, pair.high)
		}
	}
	return nil
}

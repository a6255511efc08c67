package air

import (
	"fmt"
	"math"

	"topnote/internal/engine"
)

// This file has every sentence of this package that a user can read: first those of
// results, then those for entries that cannot be used.

// headline is the result in one sentence.
func (r Result) headline(u Units) string {
	switch s := r.Shift; {
	case s == nil:
		return fmt.Sprintf("This air is as dense as the standard atmosphere at %s.", u.height(r.Now.DensityAltitude))
	case s.Direction == Same:
		return fmt.Sprintf("The air makes no difference worth a turn of a screw: it moved the mixture by %s (95 %%: between %s).",
			size(s.Mixture), s.between())
	default:
		return fmt.Sprintf("By the air alone the mixture is %s now than it was then (95 %%: between %s).",
			leanerOrRicher(s.Mixture), s.between())
	}
}

// between gives the range that the true shift likely lies in: two standard
// deviations to either side.
func (s Shift) between() string {
	return span(s.Mixture-2*s.SD, s.Mixture+2*s.SD)
}

// span writes a range of shifts, the smaller first where both go one way.
func span(lo, hi engine.Percent) string {
	switch {
	case lo >= 0:
		return size(lo) + " and " + leanerOrRicher(hi)
	case hi <= 0:
		return size(hi) + " and " + leanerOrRicher(lo)
	}
	return leanerOrRicher(lo) + " and " + leanerOrRicher(hi)
}

// roundsToZero is the size of a shift, in percent, that one decimal shows as 0.
const roundsToZero engine.Percent = 0.05

func leanerOrRicher(p engine.Percent) string {
	switch {
	case p >= roundsToZero:
		return size(p) + " leaner"
	case p <= -roundsToZero:
		return size(p) + " richer"
	}
	return "no different"
}

// causes gives the share of each cause in a shift.
func (s Shift) causes() string {
	return fmt.Sprintf("Temperature alone makes it %s, pressure %s and humidity %s.",
		leanerOrRicher(s.Parts.Temp), leanerOrRicher(s.Parts.Pressure), leanerOrRicher(s.Parts.Humidity))
}

// Advice says what to do, in order.
func (r Result) Advice() []string {
	if r.Shift == nil {
		return []string{"Give the air of the day on which the screws were set as well (since): then the shift of the mixture can be worked out."}
	}
	s := *r.Shift
	listen := "At full throttle without load it must four-stroke, and clean up in the cut."
	pass := "Then record a pass: the top speed must stay under the machine's maximum."
	switch s.Direction {
	case Leaner:
		return []string{
			fmt.Sprintf("The old mixture is %s more fuel: open H (turn it out, on the common type).", size(s.Mixture)),
			s.firstStepOut(),
			listen + " Where it runs clean without load, open H by 1/8 turn more and listen again.",
			pass,
		}
	case Richer:
		advice := []string{
			"Richer is the less dangerous side: leave H alone unless the engine four-strokes in the cut, smokes or has lost power. " +
				"Where the muffler has a catalyst, misfiring overheats it: burble for seconds only, off dry grass.",
			fmt.Sprintf("Only if it does, close H (turn it in, on the common type) by 1/8 turn at most: the old mixture is %s less fuel. Wait 5 to 10 s and listen.", size(s.Mixture)) +
				" " + listen + " If it no longer four-strokes without load, open H by 1/8 turn again.",
			pass,
		}
		return append(s.mayBeLeaner(), advice...)
	default:
		advice := []string{
			"Leave the screws where they are.",
			"If the engine runs differently all the same, look elsewhere for the cause: air filter, fuel filter and lines, " +
				"stale fuel or another oil ratio, a leak at the cylinder base gasket, the crank seals or the intake boot.",
		}
		return append(s.mayBeLeaner(), advice...)
	}
}

// firstStepOut says what to do before the next full throttle of a mixture that
// has turned leaner.
func (s Shift) firstStepOut() string {
	if s.LeanReach == 0 {
		return "That is less than a step of 1/8 turn makes on most machines, but on the dangerous side: listen at the start of the next " +
			"full throttle before anything else."
	}
	return "Leaner is the dangerous side: open H by 1/8 turn before the next full throttle."
}

// mayBeLeaner warns where the uncertainty reaches well into the lean side though
// the shift itself does not.
func (s Shift) mayBeLeaner() []string {
	if s.LeanReach == 0 {
		return nil
	}
	return []string{fmt.Sprintf("It may be as much as %s leaner: listen at the next full throttle without load, and if it runs clean, open H by 1/8 turn "+
		"first.", size(s.LeanReach))}
}

// Notes say where a figure of the air comes from if it was not read off, with
// the Warnings after them.
func (a Air) Notes(u Units) []string {
	var notes []string
	r := a.From
	switch {
	case r.Pressure != nil:
	case r.QNH != nil:
		notes = append(notes, fmt.Sprintf("The pressure is worked out from %s at sea level (QNH) and a height of %s.", u.pressure(*r.QNH), u.height(*r.Altitude)))
	case r.Altitude != nil:
		notes = append(notes, fmt.Sprintf("The pressure is that of the standard atmosphere at %s; the weather of the day may move it by %s either way.",
			u.height(*r.Altitude), u.pressure(2*a.SD.Pressure)))
	}
	if r.DewPoint != nil {
		notes = append(notes, fmt.Sprintf("The humidity is worked out from a dew point of %s.", u.temp(*r.DewPoint)))
	}
	return append(notes, a.Warnings(u)...)
}

// Warnings say what was assumed though nobody asked for it, and what is odd
// about a reading.
func (a Air) Warnings(u Units) []string {
	var warnings []string
	r := a.From
	if r.oddPressure() {
		warnings = append(warnings, fmt.Sprintf("A pressure of %s is rare at %s: check that it is the pressure on the spot, not at sea level.",
			u.pressure(*r.Pressure), u.height(*r.Altitude)))
	}
	if r.RH == nil && r.DewPoint == nil {
		warnings = append(warnings, fmt.Sprintf("The humidity was not given: %s is assumed, and the uncertainty is larger for it.", share(a.RH)))
	}
	return warnings
}

// says describes what the filter does and on what assumptions.
func (f FilterEffect) says(u Units) []string {
	drop, venturi := "measured", "measured"
	if f.DropAssumed {
		drop = "assumed; measure it to know better"
	}
	if f.VenturiAssumed {
		venturi = "assumed"
	}
	return []string{
		fmt.Sprintf("A filter that loses %s (%s) against a venturi depression of %s (%s) makes the mixture %s by itself "+
			"(95 %%: between %s), if the metering chamber is vented to open air.",
			u.drop(f.Drop), drop, u.drop(f.Venturi), venturi, leanerOrRicher(f.Open), f.between()),
		fmt.Sprintf("Vented behind the filter, as the compensated carburettors of many professional machines are, it would be %s: such a machine loses power on a dirty filter, "+
			"but hardly changes its mixture. In both cases the engine draws %s less air.", leanerOrRicher(f.Behind), size(f.AirFlow)),
		"Cleaning or renewing the filter takes this back. If H was set on a clean filter, that restores the setting: leave H, and listen. " +
			"Only if H was set on the dirty one is it too lean after that: open it by 1/8 turn before the first full throttle, listen, and open it further while it runs clean without load.",
	}
}

// between gives the range that the filter's shift likely lies in: two standard
// deviations to either side of its logarithm, because no filter leans a mixture
// and the figure is known by a factor rather than by a difference.
func (f FilterEffect) between() string {
	if f.Open == 0 {
		return span(0, 0)
	}
	factor := engine.Percent(math.Exp(2 * math.Abs(float64(f.SD/f.Open))))
	return span(f.Open*factor, f.Open/factor)
}

// saysMore says what the short text leaves out.
const saysMore = "--full prints all steps, all figures, where they come from, and all cautions."

// Cautions go with every result.
func Cautions() []string {
	return []string{
		"This is advice. The maker's handbook and the local rules come first; where only a licensed workshop may set an engine, leave the screws to it.",
		"The figure is for a fixed jet, and what a turn of a screw does differs from machine to machine: never turn by the " +
			"percentage, only by 1/8 turn or less, then check by ear and by a pass.",
		"Fixed jets follow this law, and that is no fault: there is nothing to turn. A self-setting carburettor needs a learning run in the cut after a change of height.",
		"Where no setting holds, stop turning screws and look for a leak or a starved fuel supply.",
		"Ear and eye protection. Bar and chain or cutting head fitted, brake checked, ground clear, nobody near. Outdoors. " +
			"Seconds, not minutes, at full throttle without load.",
	}
}

// Problem says why something that a person entered cannot be used, and what to
// do about it: two halves of one sentence, without a full stop.
type Problem struct {
	Says, Do string
}

// Error gives the sentence with the package's name before it. What is shown to
// people is Says and Do.
func (p *Problem) Error() string { return "air: " + p.Says + "; " + p.Do }

var (
	problemNoTemp     = &Problem{"the temperature is missing", "give temp, such as 31C or 88F"}
	problemNoPressure = &Problem{"neither a height nor a pressure was given",
		"give altitude, such as 850m or 2800ft, or pressure as read off on the spot"}
	problemNoAltitude = &Problem{"a sea-level pressure (qnh) says nothing without the height",
		"give altitude as well, such as 850m or 2800ft"}
	problemTwoHumidities = &Problem{"rh and dew-point both say how humid the air is", "give one of them"}
	problemTwoPressures  = &Problem{"pressure (on the spot) and qnh (at sea level) were both given", "give one of them"}
	problemLongText      = &Problem{"the text for the air is too long", `write it like "temp=8 rh=80 altitude=120"`}
	problemEmptyText     = &Problem{"the text for the air is empty", `write it like "temp=8 rh=80 altitude=120"`}
)

func problemNoEquals(field string) *Problem {
	return &Problem{fmt.Sprintf("%.40q has no = between name and value", field),
		`write it like "temp=8 rh=80 altitude=120", no blank inside a value`}
}

func problemUnknownName(name string) *Problem {
	return &Problem{fmt.Sprintf("%.40q is no figure of the air", name),
		"use temp, rh or dew-point, and altitude, pressure or qnh"}
}

func problemTwice(name string) *Problem {
	return &Problem{name + " was given twice", "give it once"}
}

func problemNotTemp(text string) *Problem {
	return &Problem{fmt.Sprintf("%.40q is no temperature", text), "write a number, in °C or with its unit: 31, 31C, 88F"}
}

func problemNotAltitude(text string) *Problem {
	return &Problem{fmt.Sprintf("%.40q is no height", text), "write a number, in metres or with its unit: 850, 850m, 2800ft"}
}

func problemNotPressure(text string) *Problem {
	return &Problem{fmt.Sprintf("%.40q is no pressure", text), "write a number, in hPa or with its unit: 1013, 1013hPa, 29.92inHg"}
}

func problemNotHumidity(text string) *Problem {
	return &Problem{fmt.Sprintf("%.40q is no relative humidity", text), "write a number from 0 to 100: 60, 60%"}
}

func problemHumidityShare(text string) *Problem {
	return &Problem{fmt.Sprintf("a relative humidity of %.40q looks like a share of 1", text), "write it in percent: 60 for 0.6"}
}

func problemUnits(text string) *Problem {
	return &Problem{fmt.Sprintf("%.40q is no set of units", text), "use metric or us"}
}

func problemTemp(t engine.Celsius) *Problem {
	return &Problem{fmt.Sprintf("a temperature of %s is outside %s to %s", Metric.temp(t), Metric.temp(minTemp), Metric.temp(maxTemp)),
		"check it, and write the unit where it is not °C: 88F"}
}

func problemDewPointRange(t engine.Celsius) *Problem {
	return &Problem{fmt.Sprintf("a dew point of %s is outside %s to %s", Metric.temp(t), Metric.temp(minDewPoint), Metric.temp(maxTemp)),
		"check it, and write the unit where it is not °C: 60F"}
}

func problemDewPoint(dew, t engine.Celsius) *Problem {
	return &Problem{fmt.Sprintf("the dew point, %s, is above the temperature, %s, which no air can have", Metric.temp(dew), Metric.temp(t)),
		"check both and their units"}
}

func problemHumidity(h engine.Percent) *Problem {
	return &Problem{fmt.Sprintf("a relative humidity of %s %% is outside 0 to 100 %%", number(float64(h), 1)), "check it"}
}

func problemAltitude(h engine.Metre) *Problem {
	return &Problem{fmt.Sprintf("a height of %s is outside %s to %s", Metric.height(h), Metric.height(minAltitude), Metric.height(maxAltitude)),
		"check it, and write the unit where it is not metres: 2800ft"}
}

func problemPressure(p engine.Pascal) *Problem {
	return &Problem{fmt.Sprintf("a pressure of %s is outside %s to %s", Metric.pressure(p), Metric.pressure(minPressure), Metric.pressure(maxPressure)),
		"check it, and write the unit where it is not hPa: 29.92inHg"}
}

func problemQNH(p engine.Pascal) *Problem {
	return &Problem{fmt.Sprintf("a sea-level pressure (qnh) of %s is outside %s to %s", Metric.pressure(p), Metric.pressure(minQNH), Metric.pressure(maxQNH)),
		"check it, and write the unit where it is not hPa: 29.92inHg"}
}

func problemPressureHeight(p engine.Pascal, h engine.Metre) *Problem {
	return &Problem{fmt.Sprintf("a pressure of %s is not found at %s", Metric.pressure(p), Metric.height(h)),
		"if it is the sea-level pressure of a weather report, give it as qnh"}
}

func problemTooThin(s State) *Problem {
	return &Problem{fmt.Sprintf("air of %s at %s is thinner than any on the ground", Metric.temp(s.Temp), Metric.pressure(s.Pressure)),
		"check temperature and height"}
}

func problemDrop(p engine.Pascal) *Problem {
	return &Problem{fmt.Sprintf("a filter drop of %s is outside 0 to %s", Metric.drop(p), Metric.drop(maxDrop)),
		"check it, and write the unit where it is not hPa: 4inH2O"}
}

func problemVenturi(p engine.Pascal) *Problem {
	return &Problem{fmt.Sprintf("a venturi depression of %s is outside %s to %s", Metric.drop(p), Metric.drop(minVenturi), Metric.drop(maxVenturi)),
		"check it, and write the unit where it is not hPa: 16inH2O"}
}

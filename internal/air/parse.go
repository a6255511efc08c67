package air

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"topnote/internal/unit"
)

// The names of the figures of a reading, as flags and in a since text.
const (
	keyTemp     = "temp"
	keyRH       = "rh"
	keyDewPoint = "dew-point"
	keyAltitude = "altitude"
	keyPressure = "pressure"
	keyQNH      = "qnh"
)

// maxReadingText is the longest text that ParseReading looks at, in bytes.
const maxReadingText = 1000

// ParseReading reads air from one line such as "temp=8 rh=80 altitude=120" or
// "temp=46F dew-point=40F altitude=390ft qnh=30.05inHg": names and values in any
// order, apart by blanks. Bare numbers are metric: C, %, m, hPa. It returns a
// *Problem for text that cannot be read; ranges are looked at by Reading.Air.
func ParseReading(text string) (Reading, error) {
	var r Reading
	if len(text) > maxReadingText {
		return Reading{}, problemLongText
	}
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return Reading{}, problemEmptyText
	}
	for _, field := range fields {
		key, value, found := strings.Cut(field, "=")
		if !found {
			return Reading{}, problemNoEquals(field)
		}
		if err := r.Set(strings.ToLower(key), value); err != nil {
			return Reading{}, err
		}
	}
	return r, nil
}

// Set puts one figure into the reading: name is temp, rh, dew-point, altitude,
// pressure or qnh, value a number with or without a unit. It returns a *Problem
// for an unknown name, a figure given twice, or text that is no such quantity.
func (r *Reading) Set(name, value string) error {
	switch name {
	case keyTemp:
		return set(&r.Temp, name, value, ParseTemp)
	case keyRH:
		return set(&r.RH, name, value, parseHumidity)
	case keyDewPoint:
		return set(&r.DewPoint, name, value, ParseTemp)
	case keyAltitude:
		return set(&r.Altitude, name, value, ParseAltitude)
	case keyPressure:
		return set(&r.Pressure, name, value, ParsePressure)
	case keyQNH:
		return set(&r.QNH, name, value, ParsePressure)
	}
	return problemUnknownName(name)
}

func set[T any](field **T, name, value string, parse func(string) (T, error)) error {
	if *field != nil {
		return problemTwice(name)
	}
	v, err := parse(value)
	if err != nil {
		return err
	}
	*field = &v
	return nil
}

// String writes the reading as ParseReading takes it, in metric units.
func (r Reading) String() string {
	var parts []string
	add := func(name string, value float64, unit string) {
		parts = append(parts, name+"="+strconv.FormatFloat(value, 'f', -1, 64)+unit)
	}
	if r.Temp != nil {
		add(keyTemp, float64(*r.Temp), "C")
	}
	if r.RH != nil {
		add(keyRH, float64(*r.RH), "%")
	}
	if r.DewPoint != nil {
		add(keyDewPoint, float64(*r.DewPoint), "C")
	}
	if r.Altitude != nil {
		add(keyAltitude, float64(*r.Altitude), "m")
	}
	if r.Pressure != nil {
		add(keyPressure, float64(*r.Pressure), "Pa")
	}
	if r.QNH != nil {
		add(keyQNH, float64(*r.QNH), "Pa")
	}
	return strings.Join(parts, " ")
}

// ParseTemp reads a temperature: "31", "31C", "88F", "304 K". A bare number is
// in C. It returns a *Problem for anything else.
func ParseTemp(text string) (unit.Celsius, error) {
	v, name, ok := splitQuantity(text)
	switch {
	case !ok:
	case name == "" || name == "c" || name == "°c":
		return sane(unit.Celsius(v), problemNotTemp(text))
	case name == "f" || name == "°f":
		return sane(unit.FromFahrenheit(v), problemNotTemp(text))
	case name == "k":
		return sane(unit.FromKelvin(v), problemNotTemp(text))
	}
	return 0, problemNotTemp(text)
}

// ParseAltitude reads a height: "850", "850m", "2800ft". A bare number is in m.
// It returns a *Problem for anything else.
func ParseAltitude(text string) (unit.Metre, error) {
	v, name, ok := splitQuantity(text)
	switch {
	case !ok:
	case name == "" || name == "m":
		return sane(unit.Metre(v), problemNotAltitude(text))
	case name == "ft":
		return sane(unit.FromFoot(v), problemNotAltitude(text))
	}
	return 0, problemNotAltitude(text)
}

// ParsePressure reads a pressure or a difference of pressures: "1013",
// "1013hPa", "29.92inHg", "101.3kPa", "760mmHg", "4inH2O". A bare number is in
// hPa. It returns a *Problem for anything else.
func ParsePressure(text string) (unit.Pascal, error) {
	v, name, ok := splitQuantity(text)
	if ok {
		switch name {
		case "", "hpa", "mbar", "mb":
			return sane(unit.FromHectopascal(v), problemNotPressure(text))
		case "pa":
			return sane(unit.Pascal(v), problemNotPressure(text))
		case "kpa":
			return sane(unit.FromHectopascal(v*hectopascalPerKilopascal), problemNotPressure(text))
		case "inhg":
			return sane(unit.FromInchHg(v), problemNotPressure(text))
		case "mmhg":
			return sane(unit.FromMillimetreHg(v), problemNotPressure(text))
		case "inh2o":
			return sane(unit.FromInchWater(v), problemNotPressure(text))
		}
	}
	return 0, problemNotPressure(text)
}

const hectopascalPerKilopascal = 10

// parseHumidity reads a relative humidity in percent: "60", "60%". A share
// between 0 and 1 is refused: no air outdoors is that dry, so it is a slip.
func parseHumidity(text string) (unit.Percent, error) {
	v, name, ok := splitQuantity(text)
	if !ok || (name != "" && name != "%") {
		return 0, problemNotHumidity(text)
	}
	if v > 0 && v < 1 {
		return 0, problemHumidityShare(text)
	}
	return sane(unit.Percent(v), problemNotHumidity(text))
}

// sane refuses a figure larger than any air has. The bound holds in the unit that
// String writes, so that what was read can be written and read again.
func sane[T ~float64](v T, problem error) (T, error) {
	const most = 1e9
	if !(math.Abs(float64(v)) <= most) {
		return 0, problem
	}
	return v, nil
}

// quantity is a plain decimal number and what stands behind it. No exponents,
// no hexadecimal, no "inf": nobody reads those off a thermometer.
var quantity = regexp.MustCompile(`^([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))\s*([^0-9.\s]\S*)?$`)

// splitQuantity parts a number from its unit, which comes back in lower case.
// The typographic minus, which weather pages print, counts as a minus.
func splitQuantity(text string) (value float64, name string, ok bool) {
	m := quantity.FindStringSubmatch(strings.TrimSpace(strings.ReplaceAll(text, "\u2212", "-")))
	if m == nil {
		return 0, "", false
	}
	value, err := strconv.ParseFloat(m[1], 64)
	return value, strings.ToLower(m[2]), err == nil
}

package air

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"topnote/internal/engine"
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

// maxReadingText is the longest text that ParseReading accepts, in bytes.
const maxReadingText = 1000

// ParseReading reads air from one line such as "temp=8 rh=80 altitude=120" or
// "temp=46F dew-point=40F altitude=390ft qnh=30.05inHg": names and values in any
// order, separated by blanks. Bare numbers are metric: C, %, m, hPa. It returns a
// *Problem for text that cannot be parsed; ranges are checked by Reading.Air.
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

// Set sets one figure of the reading: name is temp, rh, dew-point, altitude,
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

// The units that each quantity may be written in, in lower case; "" is none.
var (
	tempUnits = units[engine.Celsius]{
		"": metric[engine.Celsius], "c": metric[engine.Celsius], "°c": metric[engine.Celsius],
		"f": engine.FromFahrenheit, "°f": engine.FromFahrenheit, "k": engine.FromKelvin,
	}
	altitudeUnits = units[engine.Metre]{"": metric[engine.Metre], "m": metric[engine.Metre], "ft": engine.FromFoot}
	pressureUnits = units[engine.Pascal]{
		"": engine.FromHectopascal, "hpa": engine.FromHectopascal, "mbar": engine.FromHectopascal, "mb": engine.FromHectopascal,
		"pa": metric[engine.Pascal], "kpa": func(v float64) engine.Pascal { return engine.FromHectopascal(v * hectopascalPerKilopascal) },
		"inhg": engine.FromInchHg, "mmhg": engine.FromMillimetreHg, "inh2o": engine.FromInchWater,
	}
	humidityUnits = units[engine.Percent]{"": metric[engine.Percent], "%": metric[engine.Percent]}
)

const hectopascalPerKilopascal = 10

// units gives for each unit that a quantity may be written in its value in the
// unit that it is kept in.
type units[T ~float64] map[string]func(float64) T

func metric[T ~float64](v float64) T { return T(v) }

// parse reads a number with a unit; problem makes the error for a text that is none.
// It refuses values far beyond any figure of air, so that every value that was read
// can be written by String and read again.
func (u units[T]) parse(text string, problem func(text string) *Problem) (T, error) {
	const most = 1e9
	v, name, ok := splitQuantity(text)
	convert := u[name]
	if !ok || convert == nil {
		return 0, problem(text)
	}
	if t := convert(v); math.Abs(float64(t)) <= most {
		return t, nil
	}
	return 0, problem(text)
}

// ParseTemp reads a temperature: "31", "31C", "88F", "304 K". A bare number is
// in C. It returns a *Problem for anything else.
func ParseTemp(text string) (engine.Celsius, error) { return tempUnits.parse(text, problemNotTemp) }

// ParseAltitude reads a height: "850", "850m", "2800ft". A bare number is in m.
// It returns a *Problem for anything else.
func ParseAltitude(text string) (engine.Metre, error) {
	return altitudeUnits.parse(text, problemNotAltitude)
}

// ParsePressure reads a pressure or a difference of pressures: "1013",
// "1013hPa", "29.92inHg", "101.3kPa", "760mmHg", "4inH2O". A bare number is in
// hPa. It returns a *Problem for anything else.
func ParsePressure(text string) (engine.Pascal, error) {
	return pressureUnits.parse(text, problemNotPressure)
}

// parseHumidity reads a relative humidity in percent: "60", "60%". A share
// between 0 and 1 is refused: no air outdoors is that dry, so it is a mistake.
func parseHumidity(text string) (engine.Percent, error) {
	v, err := humidityUnits.parse(text, problemNotHumidity)
	if err == nil && v > 0 && v < 1 {
		return 0, problemHumidityShare(text)
	}
	return v, err
}

// quantity is a plain decimal number and its unit. No exponents,
// no hexadecimal, no "inf": nobody reads those off a thermometer.
var quantity = regexp.MustCompile(`^([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))\s*([^0-9.\s]\S*)?$`)

// splitQuantity splits a number from its unit, which it gives in lower case.
// The typographic minus, which weather pages print, counts as a minus.
func splitQuantity(text string) (value float64, name string, ok bool) {
	m := quantity.FindStringSubmatch(strings.TrimSpace(strings.ReplaceAll(text, "\u2212", "-")))
	if m == nil {
		return 0, "", false
	}
	value, err := strconv.ParseFloat(m[1], 64)
	return value, strings.ToLower(m[2]), err == nil
}

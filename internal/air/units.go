package air

import (
	"strconv"
	"strings"

	"topnote/internal/engine"
)

// Units is the system of units of text for people.
type Units int

// Metric writes C, m, hPa and kg/m3; US writes F, ft, inHg and lb/ft3.
const (
	Metric Units = iota
	US
)

// ParseUnits reads "metric" or "us". It returns a *Problem for anything else.
func ParseUnits(text string) (Units, error) {
	switch strings.ToLower(text) {
	case "metric":
		return Metric, nil
	case "us":
		return US, nil
	}
	return Metric, problemUnits(text)
}

// number writes v with so many decimals and without trailing zeros or "-0".
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

func (u Units) temp(t engine.Celsius) string {
	if u == US {
		return number(t.Fahrenheit(), 1) + " °F"
	}
	return number(float64(t), 1) + " °C"
}

func (u Units) height(h engine.Metre) string {
	if u == US {
		return engine.FormatWhole(h.Foot()) + " ft"
	}
	return engine.FormatWhole(float64(h)) + " m"
}

func (u Units) pressure(p engine.Pascal) string {
	if u == US {
		return strconv.FormatFloat(p.InchHg(), 'f', 2, 64) + " inHg"
	}
	return number(p.Hectopascal(), 1) + " hPa"
}

// drop writes a small difference of pressures.
func (u Units) drop(p engine.Pascal) string {
	if u == US {
		return number(p.InchWater(), 1) + " inH2O"
	}
	return number(p.Hectopascal(), 1) + " hPa"
}

func (u Units) density(d engine.KilogramPerCubicMetre) string {
	if u == US {
		return strconv.FormatFloat(d.PoundPerCubicFoot(), 'f', 5, 64) + " lb/ft3"
	}
	return strconv.FormatFloat(float64(d), 'f', 4, 64) + " kg/m3"
}

func share(p engine.Percent) string { return number(float64(p), 0) + " %" }

// size writes the size of a change in percent, without its sign.
func size(p engine.Percent) string {
	return engine.FormatPercent(max(p, -p))
}

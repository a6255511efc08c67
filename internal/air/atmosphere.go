package air

import (
	"errors"
	"fmt"
	"math"

	"topnote/internal/engine"
)

// ErrHeight says that a height lies outside the part of the standard
// atmosphere that this package knows, -5000 m to 11000 m.
var ErrHeight = errors.New("air: outside the standard atmosphere from -5000 m to 11000 m")

// PressureAt gives the air pressure at a height in the standard atmosphere.
//
// h is geopotential height; up to 9000 m it differs from a surveyed height by
// less than 0.15 %. 101325 Pa at 0 m, 89875 Pa at 1000 m. It returns ErrHeight
// outside -5000 m to 11000 m: it does not extrapolate.
//
// Source: ISO 2533:1975, troposphere.
func PressureAt(h engine.Metre) (engine.Pascal, error) {
	ratio, err := temperatureRatio(h)
	if err != nil {
		return 0, err
	}
	return engine.Pascal(stdPressure * math.Pow(ratio, pressureExponent)), nil
}

// TemperatureAt gives the temperature at a height in the standard atmosphere:
// 15 C at 0 m, 6.5 C less for each 1000 m. Range and error as PressureAt.
//
// Source: ISO 2533:1975, troposphere.
func TemperatureAt(h engine.Metre) (engine.Celsius, error) {
	ratio, err := temperatureRatio(h)
	if err != nil {
		return 0, err
	}
	return engine.FromKelvin(stdTemp * ratio), nil
}

// DensityAt gives the density at a height in the standard atmosphere, which is
// dry: 1.225 kg/m3 at 0 m. Range and error as PressureAt.
//
// Source: ISO 2533:1975, troposphere.
func DensityAt(h engine.Metre) (engine.KilogramPerCubicMetre, error) {
	ratio, err := temperatureRatio(h)
	if err != nil {
		return 0, err
	}
	return engine.KilogramPerCubicMetre(stdDensity * math.Pow(ratio, densityExponent)), nil
}

// PressureAltitude gives the height at which the standard atmosphere has this
// pressure: the inverse of PressureAt, with the same range and error.
func PressureAltitude(p engine.Pascal) (engine.Metre, error) {
	return heightOf(float64(p)/stdPressure, pressureExponent)
}

// DensityAltitude gives the height at which the standard atmosphere has this
// density: the inverse of DensityAt, with the same range and error. The density
// is that of the moist air.
func DensityAltitude(d engine.KilogramPerCubicMetre) (engine.Metre, error) {
	return heightOf(float64(d)/stdDensity, densityExponent)
}

// StationPressure gives the pressure at height h where the pressure reduced to
// sea level is qnh. QNH is reduced by the standard atmosphere whatever the
// weather, so it is undone by it too. Range and error as PressureAt.
//
// Source: ICAO Doc 8896: an altimeter set to QNH reads the height of the field.
func StationPressure(qnh engine.Pascal, h engine.Metre) (engine.Pascal, error) {
	sea, err := PressureAltitude(qnh)
	if err != nil {
		return 0, err
	}
	return PressureAt(sea + h)
}

// QNH gives the pressure reduced to sea level where p was measured at height
// h: the inverse of StationPressure, with the same range and error.
func QNH(p engine.Pascal, h engine.Metre) (engine.Pascal, error) {
	field, err := PressureAltitude(p)
	if err != nil {
		return 0, err
	}
	return PressureAt(field - h)
}

// temperatureRatio gives T/T0 at a height.
func temperatureRatio(h engine.Metre) (float64, error) {
	if !(h >= stdBottom && h <= stdTop) { // also stops NaN
		return 0, fmt.Errorf("%w: height %g m", ErrHeight, float64(h))
	}
	return 1 - stdLapse*float64(h)/stdTemp, nil
}

// heightOf gives the height at which a quantity that is a power of T/T0 has a given
// ratio to its value at 0 m.
func heightOf(ratio, exponent float64) (engine.Metre, error) {
	h := engine.Metre(stdTemp / stdLapse * (1 - math.Pow(ratio, 1/exponent)))
	// PressureAt at either end must be accepted, also after rounding.
	const rounding = 1e-6 // m
	if !(h >= stdBottom-rounding && h <= stdTop+rounding) {
		return 0, fmt.Errorf("%w: %g of the value at sea level", ErrHeight, ratio)
	}
	return min(max(h, stdBottom), stdTop), nil
}

package air

import (
	"math"

	"topnote/internal/engine"
)

// State is the physical state of moist air.
type State struct {
	Temp     engine.Celsius
	Pressure engine.Pascal  // where the engine runs, not reduced to sea level
	RH       engine.Percent // relative humidity over liquid water, 0 to 100
}

// Density gives the density of moist air: 1.19931 kg/m3 at 20 C, 1013.25 hPa
// and 50 %.
//
// Source: CIPM-2007, equation (1) and appendix A1.
func Density(s State) engine.KilogramPerCubicMetre {
	return mix(s).density()
}

// DryDensity gives the mass of dry air in a cubic metre of moist air: the part
// that carries the oxygen. Equal to Density at 0 % humidity, otherwise less.
//
// Source: CIPM-2007, the share 1 - xv of the molecules.
func DryDensity(s State) engine.KilogramPerCubicMetre {
	return mix(s).dryDensity()
}

// SaturationPressure gives the vapour pressure of water over a plane liquid
// surface, 2339 Pa at 20 C. Below 0 C it is that of supercooled water, to which
// weather services refer humidity.
//
// Source: CIPM-2007, appendix A1.1.
func SaturationPressure(t engine.Celsius) engine.Pascal {
	k := t.Kelvin()
	return engine.Pascal(math.Exp((vapourA*k+vapourB)*k + vapourC + vapourD/k))
}

// Humidity gives the relative humidity of air at temperature t and pressure p
// whose dew point is dew. Above 100 when the dew point lies above t, which no
// air has.
//
// Source: CIPM-2007, appendix A1.1: the vapour's share is that of saturation at
// the dew point.
func Humidity(t, dew engine.Celsius, p engine.Pascal) engine.Percent {
	return engine.Percent(percent * saturatedShare(dew, p) / saturatedShare(t, p))
}

// percent turns a share into hundredths.
const percent = 100

// saturatedShare gives the share of molecules that are vapour in saturated air.
func saturatedShare(t engine.Celsius, p engine.Pascal) float64 {
	enhancement := enhance0 + enhanceP*float64(p) + enhanceT*float64(t*t)
	return enhancement * float64(SaturationPressure(t)/p)
}

// mixture is air by its composition. The vapour does not depend on temperature here,
// so that one can change without the other.
type mixture struct {
	temp     engine.Celsius
	pressure engine.Pascal
	vapour   float64 // 0 to 1: share of molecules that are water, xv in CIPM-2007
}

func mix(s State) mixture {
	return mixture{s.Temp, s.Pressure, float64(s.RH) / percent * saturatedShare(s.Temp, s.Pressure)}
}

// molesPerCubicMetre gives p/(ZRT).
func (m mixture) molesPerCubicMetre() float64 {
	return float64(m.pressure) / (m.compressibility() * molarGas * m.temp.Kelvin())
}

func (m mixture) density() engine.KilogramPerCubicMetre {
	return engine.KilogramPerCubicMetre(m.molesPerCubicMetre() * (molarDry*(1-m.vapour) + molarWater*m.vapour))
}

func (m mixture) dryDensity() engine.KilogramPerCubicMetre {
	return engine.KilogramPerCubicMetre(m.molesPerCubicMetre() * molarDry * (1 - m.vapour))
}

// compressibility gives Z, 1 for an ideal gas.
func (m mixture) compressibility() float64 {
	t, x := float64(m.temp), m.vapour
	pt := float64(m.pressure) / m.temp.Kelvin()
	first := compressA0 + (compressA1+compressA2*t)*t + (compressB0+compressB1*t)*x + (compressC0+compressC1*t)*x*x
	return 1 - pt*first + pt*pt*(compressD+compressE*x*x)
}

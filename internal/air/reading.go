package air

import (
	"math"

	"topnote/internal/engine"
)

// Reading has the figures of an air that a person read off a thermometer, a weather
// report, a map. A nil field was not given. Temp is needed, and one of Altitude and
// Pressure; QNH (pressure reduced to sea level) needs Altitude beside it. RH and
// DewPoint exclude each other; without either a humidity is assumed.
type Reading struct {
	Temp     *engine.Celsius
	RH       *engine.Percent // relative humidity
	DewPoint *engine.Celsius
	Altitude *engine.Metre
	Pressure *engine.Pascal // where the engine runs
	QNH      *engine.Pascal
}

// Air is one air with all its figures.
type Air struct {
	State
	Density         engine.KilogramPerCubicMetre // moist
	DryDensity      engine.KilogramPerCubicMetre
	DensityAltitude engine.Metre
	SD              State   // one standard deviation of each figure of State
	From            Reading // the figures it was computed from
}

// Air computes the air that a reading describes. It returns a *Problem for a figure
// that is missing, out of range or contradicts another.
func (r Reading) Air(o Options) (Air, error) {
	if err := r.check(); err != nil {
		return Air{}, err
	}
	a := Air{From: r}
	a.Temp, a.SD.Temp = *r.Temp, o.TempSD
	if err := a.setPressure(o); err != nil {
		return Air{}, err
	}
	a.setHumidity(o)
	a.Density, a.DryDensity = Density(a.State), DryDensity(a.State)
	h, err := DensityAltitude(a.Density)
	if err != nil {
		return Air{}, problemTooThin(a.State)
	}
	a.DensityAltitude = h
	return a, nil
}

// setPressure takes the pressure from the best source that was given: measured
// on the spot, reduced to sea level, or the standard atmosphere.
func (a *Air) setPressure(o Options) error {
	var err error
	switch r := a.From; {
	case r.Pressure != nil:
		a.Pressure, a.SD.Pressure = *r.Pressure, o.PressureSD
	case r.QNH != nil:
		a.Pressure, err = StationPressure(*r.QNH, *r.Altitude)
		a.SD.Pressure = rootSumSquare(o.QNHSD, a.perMetre()*engine.Pascal(o.AltitudeSD))
	default:
		a.Pressure, err = PressureAt(*r.Altitude)
		// The temperature of the air below changes the pressure at a height by the
		// hypsometric equation: dp/p = (g h / R T) (dT / T).
		column := a.perMetre() * engine.Pascal(math.Abs(float64(*r.Altitude))*float64(o.ColumnSD)/a.Temp.Kelvin())
		a.SD.Pressure = rootSumSquare(o.WeatherSD, column, a.perMetre()*engine.Pascal(o.AltitudeSD))
	}
	return err
}

// perMetre gives the pressure lost in each metre of height, rho g.
func (a *Air) perMetre() engine.Pascal {
	return a.Pressure * engine.Pascal(stdGravity/(stdGas*a.Temp.Kelvin()))
}

func (a *Air) setHumidity(o Options) {
	switch r := a.From; {
	case r.RH != nil:
		a.RH, a.SD.RH = *r.RH, o.RHSD
	case r.DewPoint != nil:
		// At most 100: at dew point equal to temperature, rounding may pass it.
		a.RH = min(Humidity(a.Temp, *r.DewPoint, a.Pressure), percent)
		a.SD.RH = a.RH - Humidity(a.Temp, *r.DewPoint-o.DewPointSD, a.Pressure)
	default:
		a.RH, a.SD.RH = o.AssumedRH, o.AssumedRHSD
	}
}

// perturbed gives the state with each figure in turn changed by one standard
// deviation; the humidity towards 50 %, so that it stays within its range.
func (a Air) perturbed() [3]State {
	temp, pressure, humidity := a.State, a.State, a.State
	temp.Temp += a.SD.Temp
	pressure.Pressure += a.SD.Pressure
	if a.RH > percent/2 {
		humidity.RH -= a.SD.RH
	} else {
		humidity.RH += a.SD.RH
	}
	return [3]State{temp, pressure, humidity}
}

// rootSumSquare adds independent standard deviations.
func rootSumSquare[T ~float64](sds ...T) T {
	var variance float64
	for _, sd := range sds {
		variance += float64(sd * sd)
	}
	return T(math.Sqrt(variance))
}

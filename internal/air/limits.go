package air

import (
	"topnote/internal/engine"
)

// The ranges of a reading: wider than any air in which an engine is tuned, narrow
// enough to catch a wrong unit, such as 88 F taken for C or 29.92 inHg for hPa.
const (
	minTemp     engine.Celsius = -40
	maxTemp     engine.Celsius = 60 // the highest ever measured is 57 C
	minDewPoint engine.Celsius = -60
	minAltitude engine.Metre   = -1000 // the lowest land is at -430 m; a deep mine
	maxAltitude engine.Metre   = 9000  // above every mountain
	minPressure engine.Pascal  = 30000 // the standard atmosphere has 30742 Pa at 9000 m
	maxPressure engine.Pascal  = 115000
	minQNH      engine.Pascal  = 85000 // 870 hPa is the lowest ever measured at sea
	maxQNH      engine.Pascal  = 110000

	// Outside these a sea-level pressure is rare, and more likely a mistake.
	lowQNH  engine.Pascal = 96000
	highQNH engine.Pascal = 104500

	minVenturi engine.Pascal = 500 // below this no carburettor delivers fuel
	maxVenturi engine.Pascal = 30000
	maxDrop    engine.Pascal = 10000 // a filter with this drop is blocked
)

// check returns a *Problem for a reading that describes no air.
func (r Reading) check() error {
	if err := r.checkGiven(); err != nil {
		return err
	}
	if err := r.checkRanges(); err != nil {
		return err
	}
	if r.DewPoint != nil && *r.DewPoint > *r.Temp {
		return problemDewPoint(*r.DewPoint, *r.Temp)
	}
	if r.Pressure == nil || r.Altitude == nil {
		return nil
	}
	// The commonest mistake: the sea-level pressure of a weather report entered as
	// the pressure on the spot.
	if qnh, err := QNH(*r.Pressure, *r.Altitude); err != nil || outside(qnh, minQNH, maxQNH) {
		return problemPressureHeight(*r.Pressure, *r.Altitude)
	}
	return nil
}

// checkGiven returns a *Problem where figures are missing or exclude each other.
func (r Reading) checkGiven() error {
	switch {
	case r.Temp == nil:
		return problemNoTemp
	case r.RH != nil && r.DewPoint != nil:
		return problemTwoHumidities
	case r.Pressure != nil && r.QNH != nil:
		return problemTwoPressures
	case r.QNH != nil && r.Altitude == nil:
		return problemNoAltitude
	case r.Pressure == nil && r.Altitude == nil:
		return problemNoPressure
	}
	return nil
}

func (r Reading) checkRanges() error {
	switch {
	case outside(*r.Temp, minTemp, maxTemp):
		return problemTemp(*r.Temp)
	case r.RH != nil && outside(*r.RH, 0, percent):
		return problemHumidity(*r.RH)
	case r.DewPoint != nil && outside(*r.DewPoint, minDewPoint, maxTemp):
		return problemDewPointRange(*r.DewPoint)
	case r.Altitude != nil && outside(*r.Altitude, minAltitude, maxAltitude):
		return problemAltitude(*r.Altitude)
	case r.Pressure != nil && outside(*r.Pressure, minPressure, maxPressure):
		return problemPressure(*r.Pressure)
	case r.QNH != nil && outside(*r.QNH, minQNH, maxQNH):
		return problemQNH(*r.QNH)
	}
	return nil
}

// outside reports whether v is not from lo to hi; NaN is outside.
func outside[T ~float64](v, lo, hi T) bool { return !(v >= lo && v <= hi) }

// oddPressure reports whether a pressure and a height were given whose sea-level
// pressure is rare.
func (r Reading) oddPressure() bool {
	if r.Pressure == nil || r.Altitude == nil {
		return false
	}
	qnh, err := QNH(*r.Pressure, *r.Altitude)
	return err == nil && outside(qnh, lowQNH, highQNH)
}

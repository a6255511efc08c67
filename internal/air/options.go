package air

import "topnote/internal/engine"

// Options are the estimates of this package: the uncertainty of the law and of the
// figures that people read off. All of them are one standard deviation unless the
// comment says otherwise. Start from Default.
type Options struct {
	// LawSD is the error of the law of the fixed jet as a share of the shift, 0 to 1.
	// 0.20: the spring of a diaphragm carburettor that holds back 5 of 60 hPa reduces
	// the shift by 9 %, partly laminar flow in a small jet (the 0.55th power of the
	// pressure) by 10 %, air at the inlet that is 15 C warmer than outside by up to
	// 5 %; several may occur together.
	LawSD float64
	// FuelSD is the effect of the fuel's temperature for each 1 C between the two airs.
	// 0.025 %: fuel at the temperature of the air is 0.1 % lighter for each 1 C, which
	// reduces its flow by half of that; its lower viscosity acts the other way, and
	// fuel in the tank changes temperature late.
	FuelSD engine.Percent
	// FloorSD is the error of the law when the shift is small. 0.5 %: warm or cold
	// engine, age of the reading.
	FloorSD engine.Percent
	// Same is the shift, in size, up to which two airs are called the same. 0.5 %:
	// 3 C, 10 hPa or 90 m, a fraction of the smallest step of a screw.
	Same engine.Percent
	// WarnLean is the upper end of the interval of a shift from which on the advice is
	// to open H before the next full throttle. 2.5 %: about the effect of one step of
	// 1/8 turn (common practice).
	WarnLean engine.Percent

	// TempSD: 1 C, a household thermometer in the shade.
	TempSD engine.Celsius
	// RHSD: 5 points of humidity, the usual claim of household hygrometers.
	RHSD engine.Percent
	// DewPointSD: 1 C, a weather report from near by.
	DewPointSD engine.Celsius
	// AssumedRH is the humidity taken where none was given, 50 %, and
	// AssumedRHSD its deviation, 25 points: nearly any humidity may hold.
	AssumedRH, AssumedRHSD engine.Percent
	// PressureSD: 150 Pa, the sensor of a phone or a household barometer.
	PressureSD engine.Pascal
	// QNHSD: 200 Pa, rounding, distance, and weather services that reduce to sea
	// level by another rule.
	QNHSD engine.Pascal
	// WeatherSD: 800 Pa, how far sea-level pressure swings about the standard
	// atmosphere from day to day in middle latitudes (common practice).
	WeatherSD engine.Pascal
	// ColumnSD: 10 C, how far the air between the sea and the engine differs from
	// the standard atmosphere; it makes pressure from height alone worse higher up.
	ColumnSD engine.Celsius
	// AltitudeSD: 20 m, a phone's height or one read off a map.
	AltitudeSD engine.Metre

	// VenturiSpeed is the speed of the air in the venturi at full throttle, 80 m/s:
	// a 50 cm3 two-stroke at 9000 rpm that draws 70 % of its volume through a
	// throat of 14 mm in two fifths of each turn comes to 85 m/s. VenturiSpeedSD:
	// 20 m/s, throats and speeds differ that much.
	VenturiSpeed, VenturiSpeedSD float64 // m/s
	// AssumedDrop is the pressure lost through a loaded filter where it was not
	// measured, 500 Pa: five times the 100 Pa of a clean small filter (common
	// practice, rough). AssumedDropSD: 250 Pa.
	AssumedDrop, AssumedDropSD engine.Pascal
	// GaugeSD is the share by which a measured drop may be out, 0 to 1. 0.1: a
	// water column read beside a running engine.
	GaugeSD float64
}

// Default gives the estimates that the program uses.
func Default() Options {
	return Options{
		LawSD:          0.20,
		FuelSD:         0.025,
		FloorSD:        0.5,
		Same:           0.5,
		WarnLean:       2.5,
		TempSD:         1,
		RHSD:           5,
		DewPointSD:     1,
		AssumedRH:      50,
		AssumedRHSD:    25,
		PressureSD:     150,
		QNHSD:          200,
		WeatherSD:      800,
		ColumnSD:       10,
		AltitudeSD:     20,
		VenturiSpeed:   80,
		VenturiSpeedSD: 20,
		AssumedDrop:    500,
		AssumedDropSD:  250,
		GaugeSD:        0.1,
	}
}

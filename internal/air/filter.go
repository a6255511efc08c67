package air

import (
	"math"

	"topnote/internal/unit"
)

// Filter is what is known of an air filter at full throttle.
type Filter struct {
	// Drop is the pressure lost through the filter beyond what it lost when H was
	// last set. 0 with Assumed: Options.AssumedDrop.
	Drop    unit.Pascal
	Assumed bool // Drop was not measured
	// Venturi is the depression in the venturi with the filter off; 0 where it was
	// not measured: it then follows from Options.VenturiSpeed.
	Venturi unit.Pascal
}

// FilterEffect is what the filter does to the mixture by itself. Shifts are
// those of the air-to-fuel ratio: below 0 richer.
type FilterEffect struct {
	Filter                      // with the assumed figures filled in
	Open           unit.Percent // fuel chamber vented to open air, the usual case
	SD             unit.Percent // of Open
	VenturiAssumed bool
	Behind         unit.Percent // fuel chamber vented behind the filter, for comparison
	AirFlow        unit.Percent // change of the mass of air drawn, below 0: less
}

// Effect gives what the filter does in this air. It returns a *Problem for a
// drop or a depression that no engine has.
//
// With its chamber vented to open air, the carburettor is driven by the whole
// fall from open air to the venturi: the filter's drop pulls fuel too, while it
// thins the air. At the same speed and throttle the engine draws the same volume,
// so with r = 1 - drop/pressure
//
//	air  = r
//	fuel = sqrt(r + drop/venturi)
//	shift = r / sqrt(r + drop/venturi) - 1
//
// Vented behind the filter only the thinning is left: shift = sqrt(r) - 1.
//
// Assumed: steady flow (a single cylinder draws in pulses), a drop that acts on
// the jet whenever the venturi does, and a fuel chamber that follows open air.
//
// Source: Bernoulli, as MixtureShift.
func (f Filter) Effect(now State, o Options) (FilterEffect, error) {
	if f.Assumed && f.Drop == 0 {
		f.Drop = o.AssumedDrop
	}
	venturiSD, venturiAssumed := o.GaugeSD, f.Venturi == 0
	if venturiAssumed {
		f.Venturi = unit.Pascal(float64(Density(now)) / 2 * o.VenturiSpeed * o.VenturiSpeed)
		venturiSD = 2 * o.VenturiSpeedSD / o.VenturiSpeed // goes as the square of the speed
	}
	switch {
	case outside(f.Drop, 0, maxDrop):
		return FilterEffect{}, problemDrop(f.Drop)
	case outside(f.Venturi, minVenturi, maxVenturi):
		return FilterEffect{}, problemVenturi(f.Venturi)
	}
	dropSD := unit.Pascal(o.GaugeSD) * f.Drop
	if f.Assumed {
		dropSD = o.AssumedDropSD
	}
	r := 1 - float64(f.Drop/now.Pressure)
	open := filterShift(f.Drop, f.Venturi, now.Pressure)
	return FilterEffect{
		Filter:         f,
		VenturiAssumed: venturiAssumed,
		Open:           open,
		SD: together(
			unit.Percent(o.LawSD)*open,
			filterShift(f.Drop+dropSD, f.Venturi, now.Pressure)-open,
			filterShift(f.Drop, f.Venturi*unit.Pascal(1+venturiSD), now.Pressure)-open),
		Behind:  unit.Percent(percent * (math.Sqrt(r) - 1)),
		AirFlow: unit.Percent(percent * (r - 1)),
	}, nil
}

// filterShift gives the shift of the air-to-fuel ratio through a filter's drop.
func filterShift(drop, venturi, pressure unit.Pascal) unit.Percent {
	r := 1 - float64(drop/pressure)
	return unit.Percent(percent * (r/math.Sqrt(r+float64(drop/venturi)) - 1))
}

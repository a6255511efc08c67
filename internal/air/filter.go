package air

import (
	"math"

	"topnote/internal/engine"
)

// Filter has the measurements of an air filter at full throttle; nil is not
// measured.
type Filter struct {
	// Drop is the pressure lost through the filter beyond what it lost when H was
	// last set. nil: Options.AssumedDrop.
	Drop *engine.Pascal
	// Venturi is the depression in the venturi with the filter off. nil: it follows
	// from Options.VenturiSpeed.
	Venturi *engine.Pascal
}

// FilterEffect is the effect of the filter alone on the mixture. Shifts are
// those of the air-to-fuel ratio: below 0 richer.
type FilterEffect struct {
	Drop, Venturi               engine.Pascal
	DropAssumed, VenturiAssumed bool
	Open                        engine.Percent // fuel chamber vented to open air
	SD                          engine.Percent // of Open
	Behind                      engine.Percent // fuel chamber vented behind the filter, for comparison
	AirFlow                     engine.Percent // change of the mass of air drawn, below 0: less
}

// Effect gives the effect of the filter in this air. It returns a *Problem for a
// drop or a depression that no engine has.
//
// With its chamber vented to open air, the fuel is driven by the whole pressure
// difference from open air to the venturi: the filter's drop adds fuel, and also
// reduces the density of the air. At the same speed and throttle the engine draws
// the same volume, so with r = 1 - drop/pressure
//
//	air  = r
//	fuel = sqrt(r + drop/venturi)
//	shift = r / sqrt(r + drop/venturi) - 1
//
// Vented behind the filter, only the lower density is left: shift = sqrt(r) - 1.
//
// Assumed: steady flow (a single cylinder draws in pulses), a drop that acts on
// the jet whenever the venturi does, and a fuel chamber that follows open air.
//
// Source: Bernoulli, as MixtureShift.
func (f Filter) Effect(now State, o Options) (FilterEffect, error) {
	e := FilterEffect{Drop: o.AssumedDrop, DropAssumed: f.Drop == nil, VenturiAssumed: f.Venturi == nil}
	dropSD := o.AssumedDropSD
	if !e.DropAssumed {
		e.Drop = *f.Drop
		dropSD = engine.Pascal(o.GaugeSD) * e.Drop
	}
	// rho v^2/2, so that its share of error is twice that of the speed.
	e.Venturi = engine.Pascal(float64(Density(now)) / 2 * o.VenturiSpeed * o.VenturiSpeed)
	venturiSD := e.Venturi * engine.Pascal(2*o.VenturiSpeedSD/o.VenturiSpeed)
	if !e.VenturiAssumed {
		e.Venturi = *f.Venturi
		venturiSD = engine.Pascal(o.GaugeSD) * e.Venturi
	}
	switch {
	case outside(e.Drop, 0, maxDrop):
		return FilterEffect{}, problemDrop(e.Drop)
	case outside(e.Venturi, minVenturi, maxVenturi):
		return FilterEffect{}, problemVenturi(e.Venturi)
	}
	r := 1 - float64(e.Drop/now.Pressure)
	e.Open = filterShift(e.Drop, e.Venturi, now.Pressure)
	e.SD = rootSumSquare(
		engine.Percent(o.LawSD)*e.Open,
		filterShift(e.Drop+dropSD, e.Venturi, now.Pressure)-e.Open,
		filterShift(e.Drop, e.Venturi+venturiSD, now.Pressure)-e.Open)
	e.Behind = engine.Percent(percent * (math.Sqrt(r) - 1))
	e.AirFlow = engine.Percent(percent * (r - 1))
	return e, nil
}

// filterShift gives the shift of the air-to-fuel ratio through a filter's drop.
func filterShift(drop, venturi, pressure engine.Pascal) engine.Percent {
	r := 1 - float64(drop/pressure)
	return engine.Percent(percent * (r/math.Sqrt(r+float64(drop/venturi)) - 1))
}

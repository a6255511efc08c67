package air

import (
	"math"

	"topnote/internal/engine"
)

// Direction is the direction of a shift.
type Direction string

// The directions, as the JSON has them. Leaner is the dangerous one.
const (
	Leaner Direction = "leaner"
	Richer Direction = "richer"
	Same   Direction = "same"
)

// Shift is the effect of a change of air on the mixture of a carburettor with
// unchanged screws.
type Shift struct {
	// Mixture is the change of the air-to-fuel ratio by weight, counted in dry
	// air: above 0 leaner, below 0 richer.
	Mixture   engine.Percent
	SD        engine.Percent // of Mixture: law, floor and readings together
	Direction Direction
	Parts     Parts
	// LeanReach is the upper end of the 95 % interval of Mixture, where that is far
	// enough to the lean side to act on (Options.WarnLean); else 0.
	LeanReach engine.Percent
}

// FuelFlowCorrection gives the change of fuel flow that restores the old mixture in
// the air now: above 0 more fuel. It is Mixture itself, same sign: a ratio that is
// 4 % too high needs 4 % more fuel for the same air.
func (s Shift) FuelFlowCorrection() engine.Percent { return s.Mixture }

// Parts splits a shift by cause. (1+Temp)(1+Pressure)(1+Humidity) is 1+Mixture,
// all as shares.
type Parts struct {
	Temp, Pressure, Humidity engine.Percent
}

// MixtureShift gives the change of the air-to-fuel ratio from the air since to
// the air now at the same screws, speed and throttle: above 0 leaner, below 0
// richer, 0 for the same air.
//
// Air flow goes as the dry density, fuel flow as the root of the moist density,
// so the ratio goes as their quotient: (dry2/dry1) sqrt(moist1/moist2) - 1.
//
// Source: flow through orifice and venturi (Bernoulli); for dry air it is the
// altitude enrichment E = sqrt(rho0/rho) - 1 of Heywood 1988, as 1/(1+E) - 1.
func MixtureShift(now, since State) engine.Percent {
	return shift(mix(now), mix(since))
}

func shift(now, since mixture) engine.Percent {
	dry := float64(now.dryDensity() / since.dryDensity())
	moist := float64(now.density() / since.density())
	return engine.Percent(percent * (dry/math.Sqrt(moist) - 1))
}

// Compare gives the shift from the air since to the air now with its
// uncertainty and its parts.
func Compare(now, since Air, o Options) Shift {
	m := MixtureShift(now.State, since.State)
	s := Shift{Mixture: m, SD: shiftSD(now, since, o), Direction: Same, Parts: parts(now.State, since.State)}
	switch {
	case m > o.Same:
		s.Direction = Leaner
	case m < -o.Same:
		s.Direction = Richer
	}
	if reach := m + 2*s.SD; reach >= o.WarnLean {
		s.LeanReach = reach
	}
	return s
}

// parts changes temperature, pressure and vapour one after the other. The
// vapour keeps its pressure while the first two change, so that warming alone
// does not count as a change of humidity.
func parts(now, since State) Parts {
	a, b := mix(since), mix(now)
	vapour := a.vapour * float64(a.pressure)
	warmed := mixture{b.temp, a.pressure, a.vapour}
	moved := mixture{b.temp, b.pressure, vapour / float64(b.pressure)}
	return Parts{Temp: shift(warmed, a), Pressure: shift(moved, warmed), Humidity: shift(b, moved)}
}

// shiftSD combines the uncertainties of the law and of the readings of both airs.
// The readings are taken as independent: two of the same instrument share part of
// their error, so that the result is rather too large.
func shiftSD(now, since Air, o Options) engine.Percent {
	m := MixtureShift(now.State, since.State)
	degrees := engine.Percent(now.Temp - since.Temp)
	sds := []engine.Percent{o.FloorSD, engine.Percent(o.LawSD) * m, o.FuelSD * degrees}
	for _, s := range now.perturbed() {
		sds = append(sds, MixtureShift(s, since.State)-m)
	}
	for _, s := range since.perturbed() {
		sds = append(sds, MixtureShift(now.State, s)-m)
	}
	return rootSumSquare(sds...)
}

// Package air computes the density of air and how far a change of it shifts the
// mixture of a carburettor with unchanged screws.
//
// A fixed jet meters fuel by the pressure difference that the air flow causes. At
// one speed and throttle the engine draws the same volume of air, so the mass of
// air is proportional to its density, but that of fuel only to the root of the
// density. Thin air (hot, high) therefore gets too much fuel and runs rich; dense
// air (cold, low) gets too little and runs lean, which is the dangerous side. Water
// vapour displaces oxygen: humid air runs rich as well.
//
// Start with ParseReading (figures read off a thermometer and a weather report),
// Reading.Air (the air they describe, with the uncertainty of each figure) and
// Assess (the effect of the change from one air to another). WriteText and Report
// give a Result as text and as JSON.
//
// The law is that of one jet, one venturi and full throttle. Fuel temperature, air
// bleeds, springs and ice are not modelled: every shift has a standard deviation for
// them (Options.LawSD), and advice never goes further than 1/8 turn of a screw before
// the next check by ear.
//
// Sources: CIPM-2007; ISO 2533:1975, the same as ICAO Doc 7488/3 here (standard
// atmosphere). docs/air.md works examples that can be checked by hand.
package air

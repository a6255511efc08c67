// Package air says how dense the air is and how far that moves the mixture of
// a carburettor whose screws nobody has touched.
//
// A fixed jet meters fuel by the pull of the air that rushes past it. At one
// speed and throttle the engine draws the same volume of air, so the mass of
// air follows its density, while the fuel follows only the root of the density.
// Thin air (hot, high) therefore gets too much fuel and runs rich; dense air
// (cold, low) gets too little and runs lean, which is the dangerous side.
// Water vapour takes the place of oxygen: humid air runs rich as well.
//
// Start with ParseReading (what somebody read off a thermometer and a weather
// report), Reading.Air (the air it describes, with the uncertainty of each
// figure) and Assess (what the change from one air to another did). A Result
// then writes itself as text or, through Report, as JSON.
//
// What is not done: the law is that of one jet, one venturi and full throttle.
// It knows nothing of fuel temperature, air bleeds, springs and ice, so every
// shift carries a standard deviation for that (Options.LawSD), and advice never
// leads further than 1/8 turn of a screw before the next check by ear.
//
// Sources: CIPM-2007; ISO 2533:1975, the same as ICAO Doc 7488/3 here (standard
// atmosphere). docs/air.md works examples that can be checked by hand.
package air

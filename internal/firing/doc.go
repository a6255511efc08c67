// Package firing finds how often an engine fires, and how strongly in each cycle,
// once the speed of its shaft is known.
//
// The sound is resampled to equal angles of the shaft, so that every revolution has
// the same number of samples. An engine that fires every Nth revolution repeats
// itself after N revolutions and not before: each revolution is compared with those
// 1 to 6 later, in the shape of its sound and in its strength. What the comparison
// says, the posterior that shaft.Follow gives over firing periods, and the fact that
// the period rarely changes are combined by a small hidden Markov model.
//
// Start with Classify. Its Cycles, the strength of each revolution, are what
// FindSparkCuts looks for the bursts of a coil that limits speed in.
//
// Sources: Fyfe and Munck 1997; Rabiner 1989.
package firing

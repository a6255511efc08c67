// Package noise finds what sounds in a recording besides the engine.
//
// Mains hum comes first: it is found once, subtracted before the shaft is
// followed, and reported as a problem of the recording. Start with FindMains.
//
// Sources: beside each function.
package noise

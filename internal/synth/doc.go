// Package synth makes the sound of a small engine whose shaft speed and firing
// are known exactly.
//
// Recordings of real engines come without a tachometer, so a tracker that is
// tested on them alone is compared with somebody's ear. Here a Run comes first
// (speed over time, every revolution, every firing and misfire), and the sound is
// rendered from it. Each firing sends an exhaust pulse through a few damped
// resonances; a revolution without one still has pumping, fan and piston slap, so
// that order 1 stays strong while the engine four-strokes, as in field recordings.
// Gas flow, chain, room and phone (high-pass, gain control, clipping, 16 bits) are
// added.
//
// Other machines differ in what is added to that: pulses of the intake half a turn
// after the exhaust, gears, blades and knives (Voice), firing that slips out of
// its pattern (Firing), and a recording that is not what it seems (Tampering).
//
// Start with Scene and its method Render. Samples gives the passes that ship
// with the program, DrawTrial a random machine, tune, course and damage. All
// random numbers come from Scene.Seed through math/rand/v2 (PCG), one stream for
// each part, so that switching one part off leaves the others unchanged. Not
// modelled: codecs (tests use real ones), thermodynamics, moving microphones.
// Levels, widths and resonances are our model, set by eye and ear beside field
// recordings; only the values of Truth are exact.
//
// Sources: beside each formula; Schroeder 1962 for the reverberation.
package synth

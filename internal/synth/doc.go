// Package synth makes the sound of a small engine whose shaft speed and firing
// are known exactly.
//
// Recordings of real engines come without a tachometer, so a tracker that is
// tested on them alone is tested against somebody's ear. Here the order is
// turned round: first a Run is made (speed over time, every turn of the shaft,
// every firing and every missed firing), then the run is made audible. Each
// firing sends an exhaust pulse through a few damped resonances; a revolution
// without one still breathes, turns its fan and slaps its piston, so that
// order 1 stays strong while the engine four-strokes, as it does in field
// recordings. Air rushes, the chain rattles, the yard echoes, and at the end
// a telephone does its damage: high-pass, gain control, clipping, 16 bits.
//
// Other machines differ in what is added to that: pulses of the intake half a turn
// after the exhaust, gears, blades and knives (Voice), firing that slips out of
// its pattern (Firing), and a recording that is not what it seems (Tampering).
//
// Start with Scene and its method Render. Samples gives the passes that ship
// with the program, DrawTrial a random machine, tune, course and damage. The
// package draws all chance from Scene.Seed through
// math/rand/v2 (PCG), one stream for each part, so that switching one part off
// leaves the others as they were. What it does not do: the sound of codecs
// (tests send the result through real ones), thermodynamics, and moving
// microphones. Levels, widths and resonances are our model, set by eye and ear
// beside field recordings; only what stands in Truth is exact.
//
// Sources: beside each formula; Schroeder 1962 for the tail of the room.
package synth

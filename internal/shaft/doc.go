// Package shaft reads the speed of an engine's shaft, and how often it fires,
// from sound.
//
// A two-stroke fires once a turn, so its sound is a row of lines at the shaft's
// frequency and its multiples. The strongest line is often the second or third,
// and a telephone may lose the first altogether, so no single line is the speed.
// An engine that is rich misses firings in a pattern: lines then stand at a half,
// a third or a quarter of the shaft's frequency as well, and 12,000 rpm firing
// every second turn has the same lines as 6,000 firing every turn. One instant
// alone cannot always tell the two apart. What tells them apart is the course: a
// shaft cannot double its speed in a fiftieth of a second, but its firing can
// change from one turn to the next.
//
// Follow therefore asks at every instant how well the lines of each speed and
// firing period stand in the sound, finds the course through all of them that
// fits best (a hidden Markov model), and then reads speed and firing anew along
// it, from the lines and from turn to turn. Each Point carries a standard
// deviation, a share of belief, and a second reading where one keeps a real
// share. What cannot be told is 0, never a guess.
//
// Start with Follow; docs/method.md has the steps in order and docs/accuracy.md
// how well they do. The package takes samples, not files, and judges nothing.
//
// Sources: Rabiner 1989; that a rich engine four-strokes is common practice.
package shaft

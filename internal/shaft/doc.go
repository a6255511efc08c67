// Package shaft follows the speed of an engine's shaft through a recording.
//
// A two-stroke fires once a revolution, so its sound is a series of lines at the
// frequency of the shaft and its multiples. The strongest line is often the second or
// third, and a telephone may remove the first altogether, so no single line is the
// speed. An engine that is rich misses firings in a pattern: there are then lines at a
// half, a third or a quarter of the shaft's frequency as well, and 12,000 rpm firing
// every second revolution has the same lines as 6,000 firing every revolution. One
// instant alone cannot always tell the two apart. Time can: a shaft cannot double its
// speed in 20 ms, but its firing period can change from one revolution to the next.
//
// Follow scores every speed and firing period in short frames by their harmonic sums,
// finds the posterior of each by a tempered hidden Markov model, and then refines the
// speed by the frequencies of the harmonics themselves. Each Point has a standard
// deviation, a posterior, and a second reading where one has a posterior of its own.
// What cannot be told is 0, never a guess.
//
// Stream does the same while the sound still comes, a third of a second late.
//
// Start with Follow; docs/method.md has the steps in order and docs/accuracy.md how
// well they do. The package takes samples, not files, and judges nothing. Mains hum is
// to be removed before (package noise); how often the engine fires is found more
// exactly afterwards (package firing).
//
// Sources: Rabiner 1989; that a rich engine four-strokes is common practice.
package shaft

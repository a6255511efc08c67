// Package noise finds what sounds in a recording whatever its engine does: the
// conditions that it was made in.
//
// Mains hum comes first (FindMains): it is subtracted before the shaft is
// followed. Assess finds the rest, for which no track is needed: how loud the
// recording is from hop to hop, whether wind blows over the microphone, and where
// somebody speaks. It judges nothing; package quality says what of it is a problem.
//
// Sources: beside each function.
package noise

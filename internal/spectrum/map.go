package spectrum

import "topnote/internal/unit"

// Map is the level of a sound over time and frequency, for pictures: the
// ground on which a speed track is drawn so that it can be checked by eye.
type Map struct {
	First, Hop unit.Seconds // time of the first column and between columns
	BinWidth   unit.Hz      // between rows; row 0 is 0 Hz
	Levels     [][]float32  // shape [columns][rows], dB over the local floor, not below 0
}

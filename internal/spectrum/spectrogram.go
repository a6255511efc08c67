package spectrum

import (
	"topnote/internal/audio"
	"topnote/internal/engine"
)

// Spectrogram is the level of a sound over time and frequency, for pictures: the
// ground on which a speed track is drawn so that it can be checked by eye.
type Spectrogram struct {
	First, Hop engine.Seconds // time of the first column and between columns
	BinWidth   engine.Hz      // between rows; row 0 is 0 Hz
	Levels     [][]float32    // shape [columns][rows], dB over the local floor, not below 0
}

// What a map shows. A picture has about a thousand columns, so a long clip gets
// fewer to a second.
const (
	mapTop     engine.Hz      = 1000
	mapWindow  engine.Seconds = 0.12
	mapHop     engine.Seconds = 0.02
	mapColumns                = 1500
	mapSize                   = 2048 // at 8 kHz
)

// NewSpectrogram draws the map of a sound at a rate of 4 to 16 kHz, up to 1 kHz. Silence
// gives zeros; no sound gives one column.
func NewSpectrogram(x audio.Signal, rate engine.Hz) (Spectrogram, error) {
	plan, err := NewSTFT(STFTOptions{Rate: rate, Length: mapWindow, Size: mapSize, Top: mapTop, Floor: DefaultFloor()})
	if err != nil {
		panic(err) // the sizes above fit every rate that the comment allows
	}
	length := engine.Seconds(float64(x.Len()) / float64(rate))
	m := Spectrogram{Hop: max(mapHop, length/mapColumns), BinWidth: plan.BinWidth()}
	var near []float32
	for t := engine.Seconds(0); t <= length; t += m.Hop {
		var at int
		if near, at, err = audio.Centered(x, near, int(float64(t)*float64(rate)), plan.Reach()); err != nil {
			return Spectrogram{}, err
		}
		column := plan.Levels(make([]float32, plan.Bins()), near, at)
		for i, v := range column {
			column[i] = max(v, 0)
		}
		m.Levels = append(m.Levels, column)
	}
	return m, nil
}

package spectrum

import (
	"topnote/internal/audio"
	"topnote/internal/engine"
)

// Spectrogram is the level of a sound over time and frequency, for pictures: the
// speed track is drawn on it so that it can be checked by eye.
type Spectrogram struct {
	First, Hop engine.Seconds // time of the first column and between columns
	BinWidth   engine.Hz      // between rows; row 0 is 0 Hz
	Levels     [][]float32    // shape [columns][rows], dB over the local floor, not below 0
}

// A picture has about a thousand columns, so a long clip gets fewer to a second.
const (
	spectrogramTop     engine.Hz      = 1000
	spectrogramWindow  engine.Seconds = 0.12
	spectrogramHop     engine.Seconds = 0.02
	spectrogramColumns                = 1500
	spectrogramSize                   = 2048 // at 8 kHz
)

// NewSpectrogram gives the spectrogram of a sound up to 1 kHz. Silence gives zeros;
// no sound gives one column. The error is that of a rate over 17 kHz, or of a sound
// that cannot be read back.
func NewSpectrogram(x audio.Signal, rate engine.Hz) (Spectrogram, error) {
	stft, err := NewSTFT(STFTOptions{Rate: rate, Length: spectrogramWindow, Size: spectrogramSize, Top: spectrogramTop, Floor: DefaultFloor()})
	if err != nil {
		return Spectrogram{}, err
	}
	length := engine.Seconds(float64(x.Len()) / float64(rate))
	s := Spectrogram{Hop: max(spectrogramHop, length/spectrogramColumns), BinWidth: stft.BinWidth()}
	var near []float32
	for t := engine.Seconds(0); t <= length; t += s.Hop {
		var centre int
		if near, centre, err = audio.Centered(x, near, int(float64(t)*float64(rate)), stft.Reach()); err != nil {
			return Spectrogram{}, err
		}
		column := stft.Levels(make([]float32, stft.Bins()), near, centre)
		for i, v := range column {
			column[i] = max(v, 0)
		}
		s.Levels = append(s.Levels, column)
	}
	return s, nil
}

package needle

import "math"

// Level says whether the sound is fit to be measured.
type Level string

// The levels.
const (
	TooQuiet Level = "too quiet"
	Good     Level = "good"
	TooLoud  Level = "too loud"
)

// levelMeter measures the last second of the sound.
type levelMeter struct {
	peaks [10]float64 // of tenths of a second, the newest at at
	at, n int
}

// What a level is by the peak of a second: above the one, phones and cables clip;
// below the other, 16 bits and the noise of a phone leave too little over.
const loudPeak, quietPeak = 0.98, 0.01

// add takes the next samples, full scale at 1.
func (m *levelMeter) add(x []float32) {
	const tenth = 800 // samples at resample.Rate
	for _, v := range x {
		m.peaks[m.at] = max(m.peaks[m.at], math.Abs(float64(v)))
		if m.n++; m.n == tenth {
			m.n, m.at = 0, (m.at+1)%len(m.peaks)
			m.peaks[m.at] = 0
		}
	}
}

// level judges the last second.
func (m *levelMeter) level() Level {
	peak := 0.0
	for _, v := range m.peaks {
		peak = max(peak, v)
	}
	switch {
	case peak >= loudPeak:
		return TooLoud
	case peak < quietPeak:
		return TooQuiet
	}
	return Good
}

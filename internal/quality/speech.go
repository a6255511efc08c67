package quality

import (
	"math"

	"topnote/internal/unit"
)

// speechIn gives the time for which somebody is heard to speak: syllables whose
// pitch is neither a fraction nor a multiple of the engine's. A voice that the
// engine drowns is not heard, and does no harm. Where no speed was told it is
// not listened for: the pitch may be the engine's.
//
// Pitch is where the sound is most like itself one period later (normalised
// cross-correlation; Talkin, A robust algorithm for pitch tracking, 1995, from
// memory).
func speechIn(x []float32, rate unit.Hz, w walk, o Options) unit.Seconds {
	y := half(x)
	r := 2 * 0.25 * float64(rate) // of y, samples a second
	n, hop := int(float64(o.PitchWindow)*r), int(float64(o.PitchHop)*r)
	least, most := int(r/float64(o.PitchHigh)), int(r/float64(o.PitchLow))
	like := make([]float64, most+2)
	var total, run int
	last := 0.0
	end := func() {
		if run >= o.PitchRun {
			total += run
		}
		run = 0
	}
	for from := 0; from+n+most+1 <= len(y); from += hop {
		m := w.at((float64(from) + float64(n+most)/2) / r)
		lag := 0.0
		if m.pace != unheard {
			likeness(like, y[from:], n, least-1)
			lag = pitchLag(like, least, m.period*r, o)
		}
		if lag == 0 || math.Abs(lag-last) > 1+o.PitchGlide*lag {
			end()
		}
		if lag > 0 {
			run++
		}
		last = lag
	}
	end()
	return unit.Seconds(total) * o.PitchHop
}

// pitchLag gives the lag of the highest likeness, of those that the engine
// cannot explain; 0 for none. period is the engine's in samples.
func pitchLag(like []float64, least int, period float64, o Options) float64 {
	best := 0
	for k := least; k+1 < len(like); k++ {
		if v := like[k]; v < o.PitchLike || v < like[k-1] || v < like[k+1] || best > 0 && v <= like[best] {
			continue
		}
		if ofEngine(float64(k)/period, o) {
			continue
		}
		best = k
	}
	return float64(best)
}

// ofEngine reports whether a lag of so many engine periods repeats because the
// engine does: after whole periods, halves and thirds of one, or a small
// fraction, where one order is much louder than the others.
func ofEngine(periods float64, o Options) bool {
	const parts, finest, longest = 3, 6, 4
	for d := 1.0; d <= finest; d++ {
		m := math.Round(periods * d)
		if m < 1 || m > longest*d || d > parts && m > 1 {
			continue
		}
		if math.Abs(periods*d/m-1) < o.PitchOff {
			return true
		}
	}
	return false
}

// likeness fills like from element from on with the likeness, -1 to 1, of the
// first n samples of y to those so many samples later.
func likeness(like, y []float64, n, from int) {
	const nothing = 1e-9
	first, later := nothing, nothing
	for i := range n {
		first += y[i] * y[i]
		later += y[from+i] * y[from+i]
	}
	for k := from; k < len(like); k++ {
		var s float64
		for i, v := range y[:n] {
			s += v * y[k+i]
		}
		like[k] = s / math.Sqrt(first*later)
		later += y[k+n]*y[k+n] - y[k]*y[k]
		later = max(later, nothing)
	}
}

// half gives the sound at half its rate, without what lies under a voice.
func half(x []float32) []float64 {
	const drop = 0.86 // pole of the high-pass: 100 Hz at 4 kHz
	taps := [...]float64{-0.0625, 0, 0.3125, 0.5, 0.3125, 0, -0.0625}
	y := make([]float64, len(x)/2)
	before, out := 0.0, 0.0
	for i := range y {
		var s float64
		for k, c := range taps {
			if j := 2*i + k - len(taps)/2; j >= 0 && j < len(x) {
				s += c * float64(x[j])
			}
		}
		out = drop * (out + s - before)
		before = s
		y[i] = out
	}
	return y
}

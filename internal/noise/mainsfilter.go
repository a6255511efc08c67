package noise

import (
	"context"
	"math"
	"math/cmplx"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// MainsFilter takes mains hum out of sound that is still coming. It looks for hum in the
// seconds before, again and again, and follows the amplitude and phase of each of its
// harmonics from sample to sample. What it holds does not grow with the sound.
//
// Source: Widrow et al. 1975, "Adaptive noise cancelling" (a notch at each harmonic).
type MainsFilter struct {
	o       MainsOptions
	rate    engine.Hz
	psd     *psdReader
	kept    []float32 // the sound before, as it came
	every   int       // samples between two looks
	most    int       // samples that are kept
	since   int       // samples since the last look
	hum     hum
	notches []notch
}

// notch follows one harmonic.
type notch struct {
	phase, turn complex128 // of unit length: now, and from sample to sample
	amplitude   complex128
}

// NewMainsFilter prepares to filter sound at a rate.
func NewMainsFilter(rate engine.Hz) *MainsFilter {
	o := DefaultMains()
	const (
		looks   = 4 // windows from one look for hum to the next
		windows = 8 // that hum is looked for in
	)
	n := samples(o.Window, rate)
	return &MainsFilter{o: o, rate: rate, psd: newPSDReader(n), every: looks * n, most: windows * n}
}

// Filter takes the hum out of the next samples, in place.
func (f *MainsFilter) Filter(x []float32) {
	for len(x) > 0 {
		n := min(len(x), f.every-f.since)
		if len(f.kept) == f.most {
			f.kept = f.kept[:copy(f.kept, f.kept[f.every:])]
		}
		f.kept = append(f.kept, x[:n]...)
		f.subtract(x[:n])
		x = x[n:]
		if f.since += n; f.since == f.every {
			f.since = 0
			if len(f.kept) == f.most { // fewer windows take a steady engine for hum
				f.look()
			}
		}
	}
}

// look looks for hum in what is kept.
func (f *MainsFilter) look() {
	x := audio.Memory(f.kept)
	found, err := f.o.find(context.Background(), f.psd, x, audio.Block{Hi: x.Len()}, f.rate)
	if err != nil {
		return // of sound in memory: cannot be
	}
	before := f.notches
	f.notches = nil
	window := f.kept[len(f.kept)-len(f.psd.win):]
	for _, w := range found.angular(f.rate) {
		n := notch{phase: 1, turn: cmplx.Rect(1, w)}
		// As a phasor at the end of the last window.
		n.amplitude = singleBinDFT(window, w) * cmplx.Rect(1, -w*float64(len(window)))
		if i := len(f.notches); found.nominal == f.hum.nominal && i < len(before) && i < len(f.hum.harmonics) && f.hum.harmonics[i] == found.harmonics[i] {
			n.phase, n.amplitude = before[i].phase, before[i].amplitude // it goes on
		}
		f.notches = append(f.notches, n)
	}
	f.hum = found
}

// subtract takes the hum out of samples.
func (f *MainsFilter) subtract(x []float32) {
	step := 2 / (float64(f.o.Window/2) * float64(f.rate)) // follows within half a window
	for i := range f.notches {
		n := &f.notches[i]
		re, im := real(n.amplitude), imag(n.amplitude)
		for k, v := range x {
			p := n.phase
			rest := float64(v) - re*real(p) - im*imag(p)
			re += step * rest * real(p)
			im += step * rest * imag(p)
			x[k] = float32(rest)
			n.phase = p * n.turn
		}
		n.amplitude = complex(re, im)
		n.phase /= complex(math.Hypot(real(n.phase), imag(n.phase)), 0)
	}
}

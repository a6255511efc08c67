package synth

import (
	"math"
	"math/cmplx"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Suppression is the noise suppression of phones: from the spectrum of each short
// frame, the steady part is subtracted as noise. A steady engine fades by it, and
// noise that is not quite steady leaves short tones.
//
// Source: the idea of Boll 1979.
type Suppression struct {
	Over   float64        // how many times the power of the noise is subtracted
	Floor  engine.Decibel // least gain
	Learns engine.Seconds // time in which something steady becomes noise
}

// suppressFrame is about the length of a frame; half of it is the step.
const suppressFrame engine.Seconds = 0.025

// run suppresses in x what is steady.
func (s Suppression) run(x []float32, rate engine.Hz) {
	n := 1 << int(math.Round(math.Log2(float64(rate)*float64(suppressFrame))))
	step := n / 2
	window := make([]float64, n)
	for i := range window {
		window[i] = math.Sin(math.Pi * (float64(i) + 0.5) / float64(n)) // its squares, half a frame apart, add up to 1
	}
	p := subtractor{s, dsp.NewFFT(n), make([]float64, step+1), float64(step) / float64(rate)}
	out := make([]float64, len(x)+2*n)
	frame := make([]float64, n)
	for at := -step; at < len(x); at += step {
		for i := range frame {
			frame[i] = 0
			if k := at + i; k >= 0 && k < len(x) {
				frame[i] = window[i] * float64(x[k])
			}
		}
		p.filter(frame)
		for i, v := range frame {
			if k := at + i; k >= 0 && k < len(x) {
				out[k] += window[i] * v
			}
		}
	}
	for i := range x {
		x[i] = float32(out[i])
	}
}

// subtractor keeps its estimate of the noise from frame to frame.
type subtractor struct {
	Suppression
	fft   *dsp.FFT
	noise []float64 // power of each bin; 0: nothing learnt yet
	step  float64   // s
}

// filter subtracts the noise from one frame.
func (p *subtractor) filter(frame []float64) {
	const falls = 0.1 // s, in which the noise is forgotten where it is gone
	up, down := 1-math.Exp(-p.step/float64(p.Learns)), 1-math.Exp(-p.step/falls)
	in := p.fft.Input()
	for i, v := range frame {
		in[i] = complex(float32(v), 0)
	}
	bins := slices.Clone(p.fft.Transform())
	for k := range p.noise {
		power := math.Pow(cmplx.Abs(complex128(bins[k])), 2)
		pace := up
		if power < p.noise[k] {
			pace = down
		}
		p.noise[k] += pace * (power - p.noise[k])
		gain := math.Sqrt(max(0, 1-p.Over*p.noise[k]/(power+1e-30)))
		g := complex(float32(max(gain, amplitude(p.Floor))), 0)
		bins[k] *= g
		if mirror := len(bins) - k; k > 0 && mirror > k {
			bins[mirror] *= g
		}
	}
	// The inverse by the forward transform: conjugate before and after.
	in = p.fft.Input()
	for i, z := range bins {
		in[i] = complex(real(z), -imag(z))
	}
	for i, z := range p.fft.Transform() {
		frame[i] = float64(real(z)) / float64(len(frame))
	}
}

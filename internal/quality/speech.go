package quality

import (
	"math"
	"math/bits"
	"slices"

	"topnote/internal/spectrum"
	"topnote/internal/unit"
)

// stretch is a part of the clip.
type stretch struct{ from, to unit.Seconds }

// talk is where somebody speaks, in order of time; stretches may overlap.
type talk []stretch

// at reports whether somebody speaks at a time.
func (t talk) at(s unit.Seconds) bool {
	return slices.ContainsFunc(t, func(x stretch) bool { return x.from <= s && s < x.to })
}

// length gives the time for which somebody speaks.
func (t talk) length() unit.Seconds {
	var sum, end unit.Seconds
	for _, x := range t {
		sum += x.to - max(x.from, end)
		end = x.to
	}
	return sum
}

// loudness gives how loud the louder syllables are, together with what else
// sounds while somebody speaks, dB; 0 where nobody does.
func (t talk) loudness(l levels, o Options) float64 {
	var spoken []float64
	for i, v := range l.engine {
		if t.at(unit.Seconds(l.time(i))) {
			spoken = append(spoken, v)
		}
	}
	return quantile(spoken, 1-o.GustShare)
}

// speechIn gives where somebody is heard to speak: where the loudness swings in
// the rhythm of syllables, and part of it has a pitch. It does not ask the
// track: a voice may be what was followed. A voice that the engine drowns is not
// heard, and does no harm.
//
// Sources, from memory: loudness of speech swings most at 3 to 5 Hz (Houtgast
// and Steeneken, A review of the MTF concept, JASA 77(3), 1985); its use to tell
// speech from other sounds (Scheirer and Slaney, ICASSP 1997).
func speechIn(x []float32, rate unit.Hz, o Options) talk {
	e := envelopes(x, rate, o)
	n := int(math.Round(float64(o.SpeechWindow / o.SpeechStep)))
	voice := newPitch(x, rate, o)
	var t talk
	for from := 0; from+n <= len(e[0]); from += n / 2 {
		at := unit.Seconds(from) * o.SpeechStep
		if e.swing(from, n, o) >= float64(o.SyllableSwing) && voice.share(at, o) >= o.PitchShare {
			t = append(t, stretch{at, at + o.SpeechWindow})
		}
	}
	return t
}

// bands is over how many bands of a voice its loudness is followed.
const bands = 4

// envelope is the loudness of each band over time, in dB, shape [bands][steps].
type envelope [bands][]float64

// envelopes follows the loudness of a sound between the lowest formant and the
// top of a telephone's band.
func envelopes(x []float32, rate unit.Hz, o Options) envelope {
	edges := [bands + 1]unit.Hz{300, 700, 1400, 2400, 3400}
	hop := int(float64(o.SpeechStep) * float64(rate))
	size := 2 * hop
	points := 1 << bits.Len(uint(size-1)) // of the transform
	fft := spectrum.NewRealFFT(points)
	window, power := make([]float64, size), make([]float64, points/2+1)
	for i := range window {
		window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(size))
	}
	bin := func(f unit.Hz) int { return int(f / rate * unit.Hz(points)) }
	var e envelope
	for from := 0; from+size <= len(x); from += hop {
		in, seg := fft.Input(), x[from:from+size]
		clear(in)
		for i := 0; i < size; i += 2 { // size is twice the hop
			in[i/2] = complex(float64(seg[i])*window[i], float64(seg[i+1])*window[i+1])
		}
		fft.Powers(power)
		for b := range e {
			sum := nothing * float64(size*points)
			for _, p := range power[bin(edges[b]):bin(edges[b+1])] {
				sum += p
			}
			e[b] = append(e[b], 10*math.Log10(sum))
		}
	}
	return e
}

// swing gives how far the loudness swings in the rhythm of syllables over n
// steps: the amplitude, in dB, of the one even swing that would have as much
// power.
func (e envelope) swing(from, n int, o Options) float64 {
	const window = 0.375 // power that a Hann window of mean 1 leaves to a swing of amplitude 1, over the bins of its main lobe
	length := float64(n) * float64(o.SpeechStep)
	var sum float64
	for _, level := range e {
		var mean float64
		for _, v := range level[from : from+n] {
			mean += v / float64(n)
		}
		for k := math.Ceil(float64(o.SyllableSlow) * length); k <= float64(o.SyllableFast)*length; k++ {
			var re, im float64
			for i, v := range level[from : from+n] {
				turn := 2 * math.Pi * float64(i) / float64(n)
				sin, cos := math.Sincos(k * turn)
				v = (v - mean) * (1 - math.Cos(turn))
				re, im = re+v*cos, im+v*sin
			}
			sum += (re*re + im*im) / float64(n*n)
		}
	}
	return math.Sqrt(sum / bands / window)
}

// pitch tells where a sound has the pitch of a voice.
type pitch struct {
	y    []float64 // at half the rate: there is no pitch above
	rate float64   // of y
	like []float64 // by lag in samples
}

func newPitch(x []float32, rate unit.Hz, o Options) *pitch {
	r := float64(rate) / 2
	return &pitch{half(x), r, make([]float64, int(r/float64(o.PitchLow))+2)}
}

// share gives the share of a window from a time on that has a pitch: where the
// sound is like itself one period later.
func (p *pitch) share(at unit.Seconds, o Options) float64 {
	n, hop := int(float64(o.PitchWindow)*p.rate), int(float64(o.PitchStep)*p.rate)
	from := int(float64(at) * p.rate)
	end := min(len(p.y), from+int(float64(o.SpeechWindow)*p.rate))
	pitched, all := 0, 0
	for ; from+n+len(p.like) <= end; from += hop {
		all++
		if p.pitched(p.y[from:], n, o) {
			pitched++
		}
	}
	return float64(pitched) / math.Max(1, float64(all))
}

// pitched reports whether the first n samples of y are like those one period of
// a voice later, more than those a little sooner or later still.
func (p *pitch) pitched(y []float64, n int, o Options) bool {
	least := int(p.rate / float64(o.PitchHigh))
	likeness(p.like, y, n, least-1)
	for k := least; k+1 < len(p.like); k++ {
		if v := p.like[k]; v >= o.PitchLike && v >= p.like[k-1] && v >= p.like[k+1] {
			return true
		}
	}
	return false
}

// likeness fills like from element from on with the likeness, -1 to 1, of the
// first n samples of y to those so many samples later.
//
// Source: normalised cross-correlation, Talkin, A robust algorithm for pitch
// tracking, 1995, from memory.
func likeness(like, y []float64, n, from int) {
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
		later = max(later+y[k+n]*y[k+n]-y[k]*y[k], nothing)
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

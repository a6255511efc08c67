package noise

import (
	"math"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// bands is the number of bands of a voice whose level is followed.
const bands = 4

// bandEdges part the bands: from the lowest formant to the top of a telephone's
// band.
var bandEdges = [bands + 1]engine.Hz{300, 700, 1400, 2400, 3400}

// envelope is the level of each band over one window of time, step by step.
type envelope struct {
	level [bands][]float64 // dB, shape [steps]
	first int              // step of the whole recording that level begins with
	hop   int              // samples from one step to the next

	fft    *dsp.RealFFT
	window []float32
	power  []float32
	edge   [bands + 1]int // bins
	floor  float64        // power that is added, so that silence has a level
	buf    []float32

	hann      []float64  // over all steps, mean 1
	sinusoids []sinusoid // at the rates of syllables, slowest first
}

// newEnvelope prepares to follow the levels of a sound.
func newEnvelope(rate engine.Hz, o Options) *envelope {
	hop := int(float64(o.SpeechStep) * float64(rate))
	size := 2 * hop
	points := dsp.TransformSize(size)
	e := &envelope{
		hop: hop, fft: dsp.NewRealFFT(points),
		window: dsp.Hann32(size), power: make([]float32, points/2+1), floor: meanSquareFloor * float64(size*points),
	}
	for i, f := range bandEdges {
		e.edge[i] = int(f / rate * engine.Hz(points))
	}
	return e
}

// advance moves on to the n steps that begin with step from, no earlier than the
// last; false where the sound ends before they do.
func (e *envelope) advance(x audio.Signal, from, n int) (bool, error) {
	if (from+n-1)*e.hop+len(e.window) > x.Len() {
		return false, nil
	}
	for b, level := range e.level {
		known := copy(level, level[min(from-e.first, len(level)):])
		e.level[b] = level[:known]
	}
	e.first = from
	for len(e.level[0]) < n {
		at := (from + len(e.level[0])) * e.hop
		var err error
		if e.buf, err = x.Segment(e.buf, at, at+len(e.window)); err != nil {
			return false, err
		}
		e.append(e.buf)
	}
	return true, nil
}

// append adds the levels of one step.
func (e *envelope) append(x []float32) {
	in := e.fft.Input()
	dsp.Windowed(in[:e.hop], x, e.window) // which is two hops long
	clear(in[e.hop:])
	e.fft.PowerSpectrum(e.power)
	for b := range e.level {
		sum := e.floor
		for _, p := range e.power[e.edge[b]:e.edge[b+1]] {
			sum += float64(p)
		}
		e.level[b] = append(e.level[b], 10*math.Log10(sum))
	}
}

// modulation gives how far the level is modulated at the rates of syllables: the
// amplitude, in dB, of the one sinusoid that would have as much power, the mean
// over the bands.
func (e *envelope) modulation(o Options) float64 {
	const window = 0.375 // power that a Hann window of mean 1 leaves to a sinusoid of amplitude 1, over the bins of its main lobe
	n := len(e.level[0])
	if len(e.hann) != n {
		e.prepare(n, o)
	}
	var sum float64
	for _, level := range e.level {
		var mean float64
		for _, v := range level {
			mean += v / float64(n)
		}
		for _, s := range e.sinusoids {
			var re, im float64
			for i, v := range level {
				v = (v - mean) * e.hann[i]
				re, im = re+v*s[i].cos, im+v*s[i].sin
			}
			sum += (re*re + im*im) / float64(n*n)
		}
	}
	return math.Sqrt(sum / bands / window)
}

// sinusoid is a sine and cosine, step by step.
type sinusoid []struct{ sin, cos float64 }

// prepare works out what modulation needs for windows of n steps.
func (e *envelope) prepare(n int, o Options) {
	phase := func(i int) float64 { return 2 * math.Pi * float64(i) / float64(n) }
	e.hann, e.sinusoids = make([]float64, n), nil
	for i := range e.hann {
		e.hann[i] = 1 - math.Cos(phase(i))
	}
	length := float64(n) * float64(o.SpeechStep)
	for k := math.Ceil(float64(o.SyllableSlow) * length); k <= float64(o.SyllableFast)*length; k++ {
		s := make(sinusoid, n)
		for i := range s {
			s[i].sin, s[i].cos = math.Sincos(k * phase(i))
		}
		e.sinusoids = append(e.sinusoids, s)
	}
}

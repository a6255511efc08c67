package quality

import (
	"math"
	"math/bits"
	"slices"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// stretch is a part of the clip.
type stretch struct{ from, to engine.Seconds }

// speechSpans is where somebody speaks, in order of time; stretches may overlap.
type speechSpans []stretch

// at reports whether somebody speaks at a time.
func (t speechSpans) at(s engine.Seconds) bool {
	return slices.ContainsFunc(t, func(x stretch) bool { return x.from <= s && s < x.to })
}

// length gives the time for which somebody speaks.
func (t speechSpans) length() engine.Seconds {
	var sum, end engine.Seconds
	for _, x := range t {
		sum += x.to - max(x.from, end)
		end = x.to
	}
	return sum
}

// loudness gives how loud the louder syllables are, together with what else
// sounds while somebody speaks, dB; 0 where nobody does.
func (t speechSpans) loudness(l levels, o Options) float64 {
	var spoken []float64
	for i, v := range l.engine {
		if t.at(engine.Seconds(l.time(i))) {
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
func speechIn(x audio.Signal, rate engine.Hz, o Options) (speechSpans, error) {
	e := newEnvelope(rate, o)
	n := int(math.Round(float64(o.SpeechWindow / o.SpeechStep)))
	voice := newPitch(x, rate, o)
	var t speechSpans
	for from := 0; ; from += n / 2 {
		if ok, err := e.follow(x, from, n); !ok || err != nil {
			return t, err
		}
		if e.swing(o) < float64(o.SyllableSwing) {
			continue
		}
		at := engine.Seconds(from) * o.SpeechStep
		share, err := voice.share(at, o)
		if err != nil {
			return nil, err
		}
		if share >= o.PitchShare {
			t = append(t, stretch{at, at + o.SpeechWindow})
		}
	}
}

// bands is over how many bands of a voice its loudness is followed.
const bands = 4

// envelope is the loudness of each band over one window of time.
type envelope struct {
	level [bands][]float64 // dB, shape [steps]
	first int              // step of the whole sound that level begins with
	hop   int              // samples from one step to the next

	fft    *dsp.RealFFT
	window []float64
	power  []float64
	edge   [bands + 1]int // bins
	quiet  float64        // power of silence
	seg    []float32

	hann    []float64 // of a window of all steps, mean 1
	rhythms []rhythm  // of syllables, from slow to fast
}

// newEnvelope prepares to follow the loudness of a sound between the lowest
// formant and the top of a telephone's band.
func newEnvelope(rate engine.Hz, o Options) *envelope {
	hop := int(float64(o.SpeechStep) * float64(rate))
	size := 2 * hop
	points := 1 << bits.Len(uint(size-1)) // of the transform
	e := &envelope{
		hop: hop, fft: dsp.NewRealFFT(points),
		window: make([]float64, size), power: make([]float64, points/2+1), quiet: powerFloor * float64(size*points),
	}
	for i := range e.window {
		e.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(size))
	}
	for i, f := range [bands + 1]engine.Hz{300, 700, 1400, 2400, 3400} {
		e.edge[i] = int(f / rate * engine.Hz(points))
	}
	return e
}

// follow moves on to the window of n steps that begins with step from, no
// earlier than the last; false where the sound ends before it does.
func (e *envelope) follow(x audio.Signal, from, n int) (bool, error) {
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
		if e.seg, err = x.Segment(e.seg, at, at+len(e.window)); err != nil {
			return false, err
		}
		e.step(e.seg)
	}
	return true, nil
}

// step adds the loudness of one step.
func (e *envelope) step(x []float32) {
	in := e.fft.Input()
	clear(in)
	for i := 0; i < len(x); i += 2 { // there are twice as many as in a hop
		in[i/2] = complex(float64(x[i])*e.window[i], float64(x[i+1])*e.window[i+1])
	}
	e.fft.PowerSpectrum(e.power)
	for b := range e.level {
		sum := e.quiet
		for _, p := range e.power[e.edge[b]:e.edge[b+1]] {
			sum += p
		}
		e.level[b] = append(e.level[b], 10*math.Log10(sum))
	}
}

// swing gives how far the loudness swings in the rhythm of syllables: the
// amplitude, in dB, of the one even swing that would have as much power.
func (e *envelope) swing(o Options) float64 {
	const window = 0.375 // power that a Hann window of mean 1 leaves to a swing of amplitude 1, over the bins of its main lobe
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
		for _, rhythm := range e.rhythms {
			var re, im float64
			for i, v := range level {
				v = (v - mean) * e.hann[i]
				re, im = re+v*rhythm[i].cos, im+v*rhythm[i].sin
			}
			sum += (re*re + im*im) / float64(n*n)
		}
	}
	return math.Sqrt(sum / bands / window)
}

// rhythm is an even swing, step by step.
type rhythm []struct{ sin, cos float64 }

// prepare works out what swing needs for windows of n steps.
func (e *envelope) prepare(n int, o Options) {
	turn := func(i int) float64 { return 2 * math.Pi * float64(i) / float64(n) }
	e.hann, e.rhythms = make([]float64, n), nil
	for i := range e.hann {
		e.hann[i] = 1 - math.Cos(turn(i))
	}
	length := float64(n) * float64(o.SpeechStep)
	for k := math.Ceil(float64(o.SyllableSlow) * length); k <= float64(o.SyllableFast)*length; k++ {
		r := make(rhythm, n)
		for i := range r {
			r[i].sin, r[i].cos = math.Sincos(k * turn(i))
		}
		e.rhythms = append(e.rhythms, r)
	}
}

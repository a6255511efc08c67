package quality

import (
	"math"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// levels is how loud a sound is, look by look, in dB.
type levels struct {
	hop    float64
	low    []float64 // below the engine's lines
	engine []float64 // from Options.EngineFrom on
}

// time gives the middle of a look in seconds.
func (l levels) time(i int) float64 { return (float64(i) + 0.5) * l.hop }

// at gives the loudness of the engine's band at a time.
func (l levels) at(t float64) float64 {
	i := min(int(t/l.hop), len(l.engine)-1)
	return l.engine[max(0, i)]
}

// powerFloor is far below the last bit of 16-bit sound.
const powerFloor = 1e-14

func measureLevels(x audio.Signal, rate engine.Hz, o Options) (levels, error) {
	l := levels{hop: float64(o.Hop)}
	low, band := lowPass(o.RumbleTo, rate), highPass(o.EngineFrom, rate)
	n := int(float64(o.Hop) * float64(rate))
	for seg, err := range audio.Chunks(x, 0, x.Len()/n*n, n) {
		if err != nil {
			return levels{}, err
		}
		a, b := powerFloor, powerFloor
		for _, v := range seg.Samples {
			u := low.step(float64(v))
			a += u * u
			u = band.step(float64(v))
			b += u * u
		}
		l.low = append(l.low, 10*math.Log10(a/float64(n)))
		l.engine = append(l.engine, 10*math.Log10(b/float64(n)))
	}
	return l, nil
}

// rumble is what is heard below the lines of an engine.
type rumble struct {
	over   engine.Decibel // of its gusts over the engine's band where that is loud
	spread engine.Decibel // between gusts and lulls
}

func (l levels) rumbling(o Options) rumble {
	low := append([]float64{}, l.low...)
	gusts, lulls := quantile(low, 1-o.GustShare), quantile(low, o.GustShare)
	loud := quantile(append([]float64{}, l.engine...), 1-o.GustShare)
	return rumble{engine.Decibel(gusts - loud), engine.Decibel(gusts - lulls)}
}

// biquad is a filter of second order.
type biquad struct {
	b0, b1, b2, a1, a2 float64
	x1, x2, y1, y2     float64
}

func (f *biquad) step(x float64) float64 {
	y := f.b0*x + f.b1*f.x1 + f.b2*f.x2 - f.a1*f.y1 - f.a2*f.y2
	f.x2, f.x1 = f.x1, x
	f.y2, f.y1 = f.y1, y
	return y
}

// lowPass and highPass are Butterworth filters of second order by the bilinear
// transform (Oppenheim and Schafer, Discrete-Time Signal Processing, 1989).
func lowPass(corner, rate engine.Hz) *biquad {
	k := math.Tan(math.Pi * float64(corner/rate))
	n := 1 / (1 + math.Sqrt2*k + k*k)
	return &biquad{b0: k * k * n, b1: 2 * k * k * n, b2: k * k * n, a1: 2 * (k*k - 1) * n, a2: (1 - math.Sqrt2*k + k*k) * n}
}

func highPass(corner, rate engine.Hz) *biquad {
	k := math.Tan(math.Pi * float64(corner/rate))
	n := 1 / (1 + math.Sqrt2*k + k*k)
	return &biquad{b0: n, b1: -2 * n, b2: n, a1: 2 * (k*k - 1) * n, a2: (1 - math.Sqrt2*k + k*k) * n}
}

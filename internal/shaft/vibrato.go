package shaft

import (
	"math"

	"topnote/internal/dsp"
)

// A voice that holds a note swings about it 5 to 7 times a second (Prame 1994); the
// search begins somewhat lower. Firings are uneven, but to no such beat:
// an engine that surges or hunts takes half a second and longer.
const slowestVibrato, fastestVibrato = 4.5, 7 // Hz

// vibrato tells whether speeds swing as a voice does: it has what a slow course and a
// beat of each rate look like in a window, as unit vectors at right angles.
type vibrato struct {
	course [][]float64
	beats  [][2][]float64
}

// newVibrato prepares for windows of so many points.
func newVibrato(points int, o *Options) *vibrato {
	const course = 4 // a cubic: what a throttle and a load do in the time
	long := float64(points) * float64(o.Hop)
	at := func(i int) float64 { return float64(i)/float64(points-1)*2 - 1 }
	vector := func(f func(x float64) float64) []float64 {
		v := make([]float64, points)
		for i := range v {
			v[i] = f(at(i))
		}
		return v
	}
	var w vibrato
	for k := range course {
		w.course = append(w.course, unit(vector(func(x float64) float64 { return math.Pow(x, float64(k)) }), w.course))
	}
	for rate := slowestVibrato; rate <= fastestVibrato; rate += 1 / (2 * long) { // half of what the window resolves
		sin := unit(vector(func(x float64) float64 { return math.Sin(math.Pi * rate * long * x) }), w.course)
		cos := unit(vector(func(x float64) float64 { return math.Cos(math.Pi * rate * long * x) }), append(w.course[:course:course], sin))
		w.beats = append(w.beats, [2][]float64{sin, cos})
	}
	return &w
}

// unit gives a vector less its parts along others, at length 1.
func unit(v []float64, others [][]float64) []float64 {
	for _, u := range others {
		part := dsp.Dot64(v, u)
		for i := range v {
			v[i] -= part * u[i]
		}
	}
	length := math.Sqrt(dsp.Dot64(v, v))
	for i := range v {
		v[i] /= length
	}
	return v
}

// share gives how much of the swing about a slow course one beat makes, 0 to 1.
func (w *vibrato) share(logSpeed []float64) (most float64) {
	all := dsp.Dot64(logSpeed, logSpeed)
	for _, u := range w.course {
		part := dsp.Dot64(logSpeed, u)
		all -= part * part
	}
	for _, b := range w.beats {
		sin, cos := dsp.Dot64(logSpeed, b[0]), dsp.Dot64(logSpeed, b[1])
		most = max(most, (sin*sin+cos*cos)/max(all, 1e-12))
	}
	return most
}

// markVibrato marks where the speed swings as a voice does, and reports whether it does
// anywhere.
func (o *Options) markVibrato(marked []bool, ps []Point) (any bool) {
	n := o.hops(o.Presence.Opening)
	if len(ps) < n {
		return false
	}
	w, y := newVibrato(n, o), make([]float64, n)
	for from := 0; from+n <= len(ps); from += o.Stride {
		for i := range y { // relative to the first, so that the numbers are small
			y[i] = math.Log(float64(ps[from+i].Speed / ps[from].Speed))
		}
		if w.share(y) < o.Presence.Vibrato {
			continue
		}
		any = true
		for i := range y {
			marked[from+i] = true
		}
	}
	return any
}

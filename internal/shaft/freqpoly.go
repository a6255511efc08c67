package shaft

import (
	"math"

	"topnote/internal/engine"
)

// reach is how many points on either side the course of the shaft is fitted to.
const reach = 4

// leap is how far, in ln speed, one reading is from another of a point nearby: the least
// ratio of a speed to one with lines like it is 3/2, and no shaft gets as far in 0.06 s.
const leap = 0.4

// freqPolynomial is the firing frequency around an instant: ln f is a parabola in
// time. Within a window a rise is too curved for a straight line.
type freqPolynomial struct {
	f          float64 // Hz, at the instant
	sd         float64 // of f, relative
	chirpRate  float64 // d ln f / dt, 1/s
	chirpAccel float64 // of chirpRate, 1/s^2
}

// ratio gives the frequency at s seconds from the instant over that at the instant,
// to third order. It is bounded, so that time never runs backward.
func (c freqPolynomial) ratio(s float64) float64 {
	const lowest, highest = 0.2, 5
	a, b := c.chirpRate, c.chirpAccel
	return min(max(1+s*(a+s*((a*a+b)/2+s*a*(a*a+3*b)/6)), lowest), highest)
}

// chirpRates gives the rate of change of ln speed at each point, 1/s, by a straight
// line through the points around it; 0 where there are too few.
func chirpRates(ps []Point, hop engine.Seconds) []float64 {
	const near = reach - 1 // points on either side
	out := make([]float64, len(ps))
	for i := range ps {
		var n, st, sy, stt, sty float64
		for j := max(0, i-near); j <= min(len(ps)-1, i+near); j++ {
			if !ps[i].Speed.Told() || !ps[j].Speed.Told() {
				continue
			}
			y := math.Log(float64(ps[j].Speed / ps[i].Speed))
			if math.Abs(y) > leap { // of another reading
				continue
			}
			t := float64(j-i) * float64(hop)
			n, st, sy, stt, sty = n+1, st+t, sy+y, stt+t*t, sty+t*y
		}
		if d := n*stt - st*st; d > 0 && n > 2 {
			out[i] = (n*sty - st*sy) / d
		}
	}
	return out
}

// fitFreqPolynomial fits a parabola to ln speed over the points around one, by
// least squares weighted by their standard deviations. It reports false where there
// are too few.
func fitFreqPolynomial(ps []Point, i int, order float64, hop engine.Seconds) (freqPolynomial, bool) {
	const (
		fewest = 5     // points in all
		far    = 0.6   // of ln speed: as leap, over more time
		minSD  = 0.005 // relative: a parabola fits no better
	)
	if !ps[i].Speed.Told() {
		return freqPolynomial{}, false
	}
	var normal symmetric3 // of value, chirp rate and its slope
	var right [3]float64
	n := 0
	for j := max(0, i-reach); j <= min(len(ps)-1, i+reach); j++ {
		if !ps[j].Speed.Told() {
			continue
		}
		y := math.Log(float64(ps[j].Speed / ps[i].Speed))
		if math.Abs(y) > far { // of another reading
			continue
		}
		n++
		t := float64(j-i) * float64(hop)
		sd := float64(ps[j].SD / ps[j].Speed)
		weight := 1 / (sd*sd + minSD*minSD)
		basis := [...]float64{1, t, t * t / 2}
		for a, v := range basis {
			for b := a; b < len(basis); b++ {
				normal[a][b] += weight * v * basis[b]
			}
			right[a] += weight * v * y
		}
	}
	v, ok := normal.solve(right)
	if n < fewest || !ok {
		return freqPolynomial{}, false
	}
	return freqPolynomial{
		f: ps[i].firing(order) * math.Exp(v[0]), sd: 1 / math.Sqrt(normal[0][0]), chirpRate: v[1], chirpAccel: v[2],
	}, true
}

// symmetric3 is a symmetric matrix, of which the upper triangle is used.
type symmetric3 [3][3]float64

// solve solves a times x = b by the Cholesky factors of a. It reports false where a is
// not positive definite.
func (a symmetric3) solve(b [3]float64) (x [3]float64, ok bool) {
	for i := range a { // into the factor u, of which u' u = a
		for k := range i {
			a[i][i] -= a[k][i] * a[k][i]
		}
		if !(a[i][i] > 0) {
			return x, false
		}
		a[i][i] = math.Sqrt(a[i][i])
		for j := i + 1; j < len(a); j++ {
			for k := range i {
				a[i][j] -= a[k][i] * a[k][j]
			}
			a[i][j] /= a[i][i]
		}
	}
	for i := range b { // u' y = b
		for k := range i {
			b[i] -= a[k][i] * b[k]
		}
		b[i] /= a[i][i]
	}
	for i := len(b) - 1; i >= 0; i-- { // u x = y
		for k := i + 1; k < len(b); k++ {
			b[i] -= a[i][k] * b[k]
		}
		b[i] /= a[i][i]
	}
	return b, true
}

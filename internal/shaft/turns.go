package shaft

import (
	"math"

	"topnote/internal/engine"
)

// cycles is a stretch of sound cut at equal angles of the shaft.
type cycles struct {
	per   int              // samples a turn
	wave  [][]float32      // shape [turns][per]
	start []engine.Seconds // when each turn begins
}

// angularResample resamples the sound of a run of points, all with a speed, to equal
// shaft angle. Where a turn begins within the cycle is not known and does not
// matter. order is the firings in a turn: a "turn" here is one firing interval
// of an engine that misses none.
//
// Source: Fyfe and Munck, Analysis of computed order tracking, MSSP 11(2), 1997.
func angularResample(x []float32, rate float64, ps []Point, order float64, per int) cycles {
	out := cycles{per: per}
	angle, next := 0.0, 0.0
	var turn []float32
	for i := 0; i+1 < len(ps); i++ {
		t0, t1 := float64(ps[i].At), float64(ps[i+1].At)
		f0, f1 := float64(ps[i].Speed.Hz())*order, float64(ps[i+1].Speed.Hz())*order
		slope := (f1 - f0) / (t1 - t0)
		end := angle + (f0+f1)/2*(t1-t0)
		for ; next < end; next += 1 / float64(per) {
			// angle + f0 s + slope s^2/2 = next
			a := next - angle
			s := 2 * a / (f0 + math.Sqrt(math.Max(f0*f0+2*slope*a, 0)))
			if len(turn) == 0 {
				out.start = append(out.start, engine.Seconds(t0+s))
				turn = make([]float32, 0, per)
			}
			turn = append(turn, float32(interpolate(x, (t0+s)*rate)))
			if len(turn) == per {
				out.wave = append(out.wave, turn)
				turn = nil
			}
		}
		angle = end
	}
	out.start = out.start[:len(out.wave)]
	return out
}

// autocorrelation gives, for each turn and each lag from 1 to lags, how like the turns
// around it are to those that many turns later, by what each has that the
// others around it have not: 1 the same, 0 unrelated, below 0 opposite. An
// engine that fires every Nth turn repeats itself after N and not before.
func autocorrelation(u [][]float32, around int) [][lags]float64 {
	n := len(u)
	power := make([]float64, n+1)
	var cross [lags][]float64
	for i, w := range u {
		power[i+1] = power[i] + dot(w, w)
	}
	for k := range cross {
		cross[k] = make([]float64, n+1)
		for i := range u {
			cross[k][i+1] = cross[k][i]
			if j := i + k + 1; j < n {
				cross[k][i+1] += dot(u[i], u[j])
			}
		}
	}
	out := make([][lags]float64, n)
	for i := range out {
		lo, hi := max(0, i-around/2), min(n, i+around/2+1)
		for k := range lags {
			end := min(hi, n-k-1)
			if end <= lo {
				continue
			}
			if e := (power[end] - power[lo] + power[end+k+1] - power[lo+k+1]) / 2; e > 0 {
				out[i][k] = (cross[k][end] - cross[k][lo]) / e
			}
		}
	}
	return out
}

// quarters is how many parts the strength of a turn is told in. A turn may be
// cut anywhere, through its pulse too, and half a pulse at either end would hide
// that turns differ.
const quarters = 4

// cycleRMS gives the strength of each quarter turn, the root mean square of its
// slope, less the mean of the same quarter of the turns around, over the mean
// of all: shape [turns][quarters].
func (ts cycles) cycleRMS(around int) [][]float32 {
	n := len(ts.wave)
	sums := make([][quarters]float64, n+1)
	out := make([][]float32, n)
	for i, w := range ts.wave {
		out[i] = make([]float32, quarters)
		sums[i+1] = sums[i]
		for q := range quarters {
			var e float64
			lo, hi := q*len(w)/quarters, (q+1)*len(w)/quarters
			for j := max(lo, 1); j < hi; j++ {
				d := float64(w[j] - w[j-1])
				e += d * d
			}
			e = math.Sqrt(e / float64(hi-lo))
			out[i][q] = float32(e)
			sums[i+1][q] += e
		}
	}
	for i := range out {
		lo, hi := max(0, i-around/2), min(n, i+around/2+1)
		var mean [quarters]float64
		all := 1e-9
		for q := range mean {
			mean[q] = (sums[hi][q] - sums[lo][q]) / float64(hi-lo)
			all += mean[q] / quarters
		}
		for q := range mean {
			out[i][q] = float32((float64(out[i][q]) - mean[q]) / all)
		}
	}
	return out
}

// synchronousResidual gives the slope of each turn less the mean slope of the turns
// around it.
func (ts cycles) synchronousResidual(around int) [][]float32 {
	n := len(ts.wave)
	slope := make([][]float32, n)
	for i, w := range ts.wave {
		s := make([]float32, ts.per)
		last := w[0]
		if i > 0 {
			last = ts.wave[i-1][ts.per-1]
		}
		for j, v := range w {
			s[j], last = v-last, v
		}
		slope[i] = s
	}
	sum := make([]float64, ts.per)
	lo, hi := 0, 0
	out := make([][]float32, n)
	for i := range out {
		for ; hi < min(n, i+around/2+1); hi++ {
			for j, v := range slope[hi] {
				sum[j] += float64(v)
			}
		}
		for ; lo < i-around/2; lo++ {
			for j, v := range slope[lo] {
				sum[j] -= float64(v)
			}
		}
		out[i] = make([]float32, ts.per)
		for j, v := range slope[i] {
			out[i][j] = v - float32(sum[j]/float64(hi-lo))
		}
	}
	return out
}

func dot(a, b []float32) float64 {
	var s float32
	for i, v := range a {
		s += v * b[i]
	}
	return float64(s)
}

package pass

import (
	"math"

	"topnote/internal/shaft"
	"topnote/internal/unit"
)

// The look at the sound: how strongly each turn of the shaft fires, and
// whether that repeats. Four-stroking repeats every 2nd to 4th turn; a coil
// that limits speed leaves out several sparks in a row, again and again, which
// takes longer. The strength of a turn is the power of the slope of the sound
// during it, in which the hiss of the firings stands above rumble and hum.

const (
	fourStrokeMost = 4  // turns: the rarest pattern of four-stroking
	burstLeast     = 6  // turns: the shortest period of cut-outs that is no such pattern
	burstMost      = 32 // turns: the longest; slower is surging
	trendTurns     = 32 // turns on either side that make the mean a turn is held against
	periodsMost    = 6  // periods over which a repetition is averaged at the most,
	periodsLeast   = 2  // and at the least
	turnsLeast     = 60 // turns under which nothing is said
)

// ListenTo gives the Listener that looks at a sound at rate, mono, along the
// track that was read from it. It keeps x and t and changes neither.
//
// For each period it compares how like the strengths are whole periods apart
// with how like they are half a period off. Bursts are believed from three
// standard deviations of chance on, and only where no pattern of four-stroking
// stands out nearly as much and one turn is like the next: a chain on its
// sprocket repeats after as many turns as a coil does, but leaves the
// alternation of four-stroking between.
//
// Source: the lag-one correlation of a chain of misses is -1 for strict
// alternation, 0 for chance and above 0 for long runs (identity of the
// two-state Markov chain).
func ListenTo(x []float32, rate unit.Hz, t shaft.Track) Listener {
	return func(from, to unit.Seconds) Bursts {
		e := clipped(againstTrend(turnStrengths(x, rate, t, from, to)))
		if len(e) < turnsLeast {
			return Bursts{}
		}
		like := likeness(e, len(e)/2)
		best, period := clearest(like, burstLeast, burstMost)
		pattern, _ := clearest(like, 2, fourStrokeMost)
		const clearly, chance, sure = 1.5, 3.0, 2.5
		sigmas := best * math.Sqrt(float64(len(e)))
		if sigmas < chance || best < clearly*pattern || like[1] <= 0 {
			return Bursts{}
		}
		turns := float64(len(e)) / float64(to-from)
		// A square wave that swings by d to either side has a variance of d*d,
		// of log power; half of that is log amplitude, and the swing is double.
		swing := scatter(e) * math.Sqrt(max(0, between(like, period)))
		return Bursts{
			Belief: min(1, (sigmas-chance)/sure),
			Rate:   unit.Hz(turns / period),
			Depth:  1 - math.Exp(-swing),
		}
	}
}

// clearest gives the period, from least to most turns, that stands out most,
// and by how much; zeros where none does. What repeats after a time also
// repeats after three times as long, so the shortest period that stands out
// nearly as much is the one.
func clearest(like []float64, least, most float64) (best, period float64) {
	const step, nearly = 0.25, 0.8 // turns; share
	for p := least; p <= most; p += step {
		best = max(best, contrast(like, p))
	}
	for p := least; p <= most && best > 0; p += step {
		if c := contrast(like, p); c >= nearly*best {
			// Up to the top of this peak.
			for next := contrast(like, p+step); p+step <= most && next > c; next = contrast(like, p+step) {
				p, c = p+step, next
			}
			return best, p
		}
	}
	return 0, 0
}

// turnStrengths gives the log power of the slope of a sound over each whole
// turn of the shaft between two times, in nepers.
func turnStrengths(x []float32, rate unit.Hz, t shaft.Track, from, to unit.Seconds) []float64 {
	const silence = 1e-12 // keeps the logarithm finite; far below 16 bits
	var out []float64
	var angle, power, n float64 // of the turn under way: turns, summed power, samples
	var speed unit.RPM
	i := 0
	first := max(1, int(float64(from)*float64(rate)))
	last := min(len(x), int(float64(to)*float64(rate)))
	for k := first; k < last; k++ {
		for i < len(t.Points) && float64(t.Points[i].At)*float64(rate) <= float64(k) {
			if t.Points[i].Speed.Told() {
				speed = t.Points[i].Speed
			}
			i++
		}
		slope := float64(x[k] - x[k-1])
		power += slope * slope
		n++
		step := float64(speed.Hz() / rate)
		if angle += step; angle >= 1 {
			// The part of this sample that belongs to the next turn; without
			// it the grid of samples beats with the turns.
			over := min(1, (angle-1)/step)
			power, n = power-over*slope*slope, n-over
			out = append(out, math.Log(max(0, power)/n+silence))
			angle, power, n = angle-math.Floor(angle), over*slope*slope, over
		}
	}
	return out
}

// againstTrend takes from each value the mean of those around it.
func againstTrend(x []float64) []float64 {
	sum := make([]float64, len(x)+1)
	for i, v := range x {
		sum[i+1] = sum[i] + v
	}
	out := make([]float64, len(x))
	for i, v := range x {
		a, b := max(0, i-trendTurns), min(len(x), i+trendTurns+1)
		out[i] = v - (sum[b]-sum[a])/float64(b-a)
	}
	return out
}

// clipped bounds x to what nearly all of a normal distribution lies within, so
// that a few turns as the throttle closes do not outweigh all others.
func clipped(x []float64) []float64 {
	const sigmas = 3
	bound := sigmas * scatter(x)
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = max(-bound, min(bound, v))
	}
	return out
}

// likeness gives the correlation of x with itself at each lag up to most.
func likeness(x []float64, most int) []float64 {
	like := make([]float64, most+1)
	for lag := range like {
		var both, a, b float64
		for i := lag; i < len(x); i++ {
			both += x[i] * x[i-lag]
			a += sq(x[i])
			b += sq(x[i-lag])
		}
		if a > 0 && b > 0 {
			like[lag] = both / math.Sqrt(a*b)
		}
	}
	return like
}

// contrast gives how much more alike the values are whole periods apart than
// half a period off, over as many periods as like holds, times the root of
// half their number: so chance gives 1/sqrt(values) whatever the period.
func contrast(like []float64, period float64) float64 {
	periods := min(periodsMost, int(float64(len(like)-1)/period))
	if periods < periodsLeast {
		return 0
	}
	var sum float64
	for k := range periods {
		sum += between(like, float64(k+1)*period) - between(like, (float64(k)+0.5)*period)
	}
	return sum / float64(periods) * math.Sqrt(float64(periods)/2)
}

// between reads x between its elements, along straight lines.
func between(x []float64, at float64) float64 {
	i := int(at)
	if i+1 >= len(x) {
		return x[len(x)-1]
	}
	f := at - float64(i)
	return x[i]*(1-f) + x[i+1]*f
}

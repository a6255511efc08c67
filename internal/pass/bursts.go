package pass

import (
	"math"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// The look at the sound: how strongly each turn of the shaft fires, and
// whether that repeats. Four-stroking repeats every 2nd to 4th turn; a coil
// that limits speed leaves out several sparks in a row, again and again, which
// takes longer. The strength is that of the slope of the sound, in which the
// hiss of the firings stands above rumble and hum.

const (
	quarters      = 4  // of a turn, whose strengths are kept apart: where in a turn it fires is not known, and a turn cut at its firing shares it with the next
	maxFourStroke = 4  // turns: the rarest pattern of four-stroking
	minBurst      = 6  // turns: the shortest period of cut-outs that is no such pattern
	maxBurst      = 32 // turns: the longest; slower is surging
	trendTurns    = 32 // turns on either side that make the mean a turn is held against
	maxPeriods    = 6  // periods over which a repetition is averaged at the most,
	minPeriods    = 2  // and at the least
	minTurns      = 60 // turns under which nothing is said

	maxListen   = 120     // s: some 20,000 turns tell all that there is to tell
	listenPiece = 1 << 13 // samples that are read at a time
)

// NewCutDetector gives the Listener that looks at a sound at rate, along the track that
// was read from it: of a long stretch at its first two minutes. It keeps x and t
// and changes neither.
//
// For each period it compares how like the strengths are whole periods apart
// with how like they are half a period off. SparkCutEvidence are believed from three
// standard deviations of chance on, and only where no pattern of four-stroking
// stands out nearly as much and one turn is like the next: a chain on its
// sprocket repeats after as many turns as a coil does, but leaves the
// alternation of four-stroking between.
//
// Source: the lag-one correlation of a chain of misses is -1 for strict
// alternation, 0 for chance and above 0 for long runs (identity of the
// two-state Markov chain).
func NewCutDetector(x audio.Signal, rate engine.Hz, t shaft.Track) Listener {
	return func(from, to engine.Seconds) SparkCutEvidence {
		to = min(to, from+maxListen)
		strength := turnStrengths(x, rate, t, from, to)
		turns := len(strength[0])
		if turns < minTurns {
			return SparkCutEvidence{}
		}
		lags := min(turns/2, maxPeriods*maxBurst+1) // further off nothing is asked for
		e := againstTrend(strength)
		like := autocorrelation(lags, e[:]...)
		pattern, _ := bestPeriod(like, 2, maxFourStroke)
		e = smoothed(e)
		slow := autocorrelation(lags, e[:]...)
		best, period := bestPeriod(slow, minBurst, maxBurst)
		const clearly, chance, sure = 1.5, 3.0, 2.5
		sigmas := best * math.Sqrt(float64(turns)/threeMean*independent(e))
		if sigmas < chance || best < clearly*pattern || like[1] <= 0 {
			return SparkCutEvidence{}
		}
		// A square wave that swings by d to either side of 1 has a variance of
		// d*d. Of all variance it has half of how much more alike it is whole
		// periods apart than half a period off, where it is its own opposite.
		swing := math.Sqrt(variance(e) * swings(slow, period) / 2)
		return SparkCutEvidence{
			Belief: min(1, (sigmas-chance)/sure),
			Rate:   engine.Hz(float64(turns) / float64(to-from) / period),
			Depth:  min(1, 2*swing/(1+swing)),
		}
	}
}

// bestPeriod gives the period, from least to most turns, that stands out most,
// and by how much; zeros where none does. What repeats after a time also
// repeats after three times as long, so the shortest period that stands out
// nearly as much is the one.
func bestPeriod(like []float64, least, most float64) (best, period float64) {
	const step, nearly = 0.25, 0.8 // turns; share
	for p := least; p <= most; p += step {
		best = max(best, periodicity(like, p))
	}
	for p := least; p <= most && best > 0; p += step {
		c := periodicity(like, p)
		if c < nearly*best {
			continue
		}
		for next := periodicity(like, p+step); p+step <= most && next > c; next = periodicity(like, p+step) {
			p, c = p+step, next // up to the top of this peak
		}
		return best, p
	}
	return 0, 0
}

// turnStrengths gives the root mean square slope of a sound in each quarter of
// each whole turn of the shaft between two times: shape [quarters][turns].
func turnStrengths(x audio.Signal, rate engine.Hz, t shaft.Track, from, to engine.Seconds) [quarters][]float64 {
	var out [quarters][]float64
	var angle, power, n float64 // of the quarter under way: quarters gone by, summed power, samples
	var speed engine.RPM
	i, quarter := 0, 0
	first := max(1, int(float64(from)*float64(rate)))
	last := min(x.Len(), int(float64(to)*float64(rate)))
	var before float32
	for chunk, err := range audio.Chunks(x, first-1, last, listenPiece) {
		if err != nil {
			return [quarters][]float64{}
		}
		for k, v := range chunk.Samples {
			k += chunk.From
			slope := float64(v - before)
			if before = v; k < first {
				continue // only there to be before the first
			}
			for i < len(t.Points) && float64(t.Points[i].At)*float64(rate) <= float64(k) {
				if t.Points[i].Speed.Told() {
					speed = t.Points[i].Speed
				}
				i++
			}
			power += slope * slope
			n++
			step := quarters * float64(speed.Hz()/rate)
			if angle += step; angle >= 1 {
				// The part of this sample that belongs to the next quarter;
				// without it the grid of samples beats with the turns.
				over := min(1, (angle-1)/step)
				power, n = power-over*slope*slope, n-over
				out[quarter] = append(out[quarter], math.Sqrt(max(0, power)/max(n, 1)))
				quarter = (quarter + 1) % quarters
				angle, power, n = angle-math.Floor(angle), over*slope*slope, over
			}
		}
	}
	for q := range out {
		out[q] = out[q][:len(out[quarters-1])]
	}
	return out
}

// againstTrend takes from each strength the mean of those around it in the same
// quarter, in shares of the mean of all quarters around it. Where a few turns
// stand far out, as when the throttle closes, they are bounded to what nearly
// all of a normal distribution lies within, so as not to outweigh all others.
func againstTrend(x [quarters][]float64) [quarters][]float64 {
	const sigmas = 3
	var around [quarters][]float64
	whole := make([]float64, len(x[0]))
	for q := range x {
		around[q] = make([]float64, len(x[q]))
		dsp.RunningMean(around[q], x[q], trendTurns)
		for i, v := range around[q] {
			whole[i] += v / quarters
		}
	}
	var out [quarters][]float64
	for q := range x {
		out[q] = make([]float64, len(whole))
		for i, v := range x[q] {
			if whole[i] > 0 { // 0 in digital silence
				out[q][i] = (v - around[q][i]) / whole[i]
			}
		}
		bound := sigmas * dsp.RobustSD(out[q])
		for i, v := range out[q] {
			out[q][i] = max(-bound, min(bound, v))
		}
	}
	return out
}

// variance gives the mean square of all elements.
func variance(x [quarters][]float64) float64 {
	var sum float64
	for _, quarter := range x {
		for _, v := range quarter {
			sum += sq(v)
		}
	}
	return sum / float64(quarters*len(x[0]))
}

// threeMean is by how much the variance of a correlation grows when both sides
// are running means of three.
//
// Source: Bartlett's formula, the sum of the squared correlations of such a
// mean: 1 + 2 (4/9 + 1/9).
const threeMean = 1 + 2*(4.0/9+1.0/9)

// smoothed gives the running mean over three turns: what repeats no sooner than
// after six turns stays, what differs from turn to turn goes.
func smoothed(x [quarters][]float64) [quarters][]float64 {
	var out [quarters][]float64
	for q, y := range x {
		out[q] = make([]float64, len(y))
		dsp.RunningMean(out[q], y, 1)
	}
	return out
}

// independent gives how many of the quarters count: one where all that happens
// is in one of them, all where they are alike.
func independent(x [quarters][]float64) float64 {
	var sum, squares float64
	for _, quarter := range x {
		var v float64
		for _, e := range quarter {
			v += sq(e)
		}
		sum += v
		squares += sq(v)
	}
	return sq(sum) / max(squares, math.SmallestNonzeroFloat64)
}

// autocorrelation gives the correlation of series with themselves at each lag up to
// most, over all of them together.
func autocorrelation(most int, series ...[]float64) []float64 {
	like := make([]float64, most+1)
	dsp.Autocorrelation(like, 0, math.MaxInt, series...)
	return like
}

// periodicity gives how clearly a period stands out: swings, times the root of
// half the number of periods that it is the mean over, so that chance gives
// 1/sqrt(values) whatever the period.
func periodicity(like []float64, period float64) float64 {
	return swings(like, period) * math.Sqrt(float64(periodsOf(like, period))/2)
}

// swings gives how much more alike the values are whole periods apart than half
// a period off; 0 where like holds too few periods.
func swings(like []float64, period float64) float64 {
	periods := periodsOf(like, period)
	if periods < minPeriods {
		return 0
	}
	var sum float64
	for k := range periods {
		sum += between(like, float64(k+1)*period) - between(like, (float64(k)+0.5)*period)
	}
	return sum / float64(periods)
}

func periodsOf(like []float64, period float64) int {
	return min(maxPeriods, int(float64(len(like)-1)/period))
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

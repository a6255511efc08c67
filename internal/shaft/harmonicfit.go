package shaft

import (
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// estimate is a refined firing frequency.
type estimate struct {
	f, sd      float64 // Hz
	lines      int     // harmonics that were used
	prominence float64 // dB, mean over the first harmonics
}

// line is one harmonic as it was measured.
type line struct {
	order float64 // multiple of the line spacing
	off   float64 // relative distance from that multiple
	sd    float64 // of off, from noise and group delay
}

// fit estimates the firing frequency near that of the polynomial from its harmonics,
// in a window of length seconds, of an engine that fires every nth cycle.
func (r *refiner) fit(n int, c freqPolynomial, length float64) (estimate, bool) {
	spacing := c.f / float64(n)
	count := min(r.o.Refine.Harmonics+(n-1)*r.o.Refine.HarmonicsPerMiss, int(float64(r.o.Spectra[0].Top)/spacing))
	floor := r.floors(spacing, count)
	spacing *= 1 + r.search(spacing, r.maskFloors(floor, spacing, c))
	lines := r.measure(spacing, r.maskFloors(floor, spacing, c), c, length)
	prominence := r.prominence(spacing/r.binWidth(), floor[:min(count, r.o.Refine.Harmonics)+1])
	if len(lines) < 2 {
		return estimate{prominence: prominence}, false
	}
	off, sd := randomEffectsMean(lines)
	f := spacing * (1 + off) * float64(n)
	return estimate{f: f, sd: sd * f, lines: len(lines), prominence: prominence}, true
}

func (r *refiner) binWidth() float64 { return r.rate / float64(r.size) }

// floors gives the mean power half-way to the harmonics on either side of each, shape
// [1+harmonics].
func (r *refiner) floors(spacing float64, count int) []float64 {
	const half, silence = 0.2, 1e-12 // of the spacing; power
	bins := spacing / r.binWidth()
	r.floor = slices.Grow(r.floor[:0], count+1)[:count+1]
	below := r.meanPower(0.5*bins, half*bins)
	for j := 1; j <= count; j++ {
		above := r.meanPower((float64(j)+0.5)*bins, half*bins)
		r.floor[j] = (below+above)/2 + silence
		below = above
	}
	return r.floor
}

// search gives the relative shift of the line spacing with the highest sum of
// amplitudes over the floor, less the log of the prior.
func (r *refiner) search(spacing float64, floor []float64) (shift float64) {
	o := r.o.Refine
	best := math.Inf(-1)
	dsp.Roots(r.amplitude, r.power)
	r.overFloor = r.overFloor[:0] // amplitudes times this are over the floor
	for _, v := range floor {
		r.overFloor = append(r.overFloor, 1/math.Sqrt(v))
	}
	for d := -o.Reach; d <= o.Reach; d += o.Step {
		v := -0.5 * (d / o.PriorSD) * (d / o.PriorSD)
		apart := spacing * (1 + d) / r.binWidth()
		for j := 1; j < len(floor); j++ {
			if k := uint(float64(j)*apart + 0.5); k < uint(len(r.amplitude)) {
				v += float64(r.amplitude[k]) * r.overFloor[j]
			}
		}
		if v > best {
			best, shift = v, d
		}
	}
	return shift
}

// measure gives the harmonics that are over the floor, by their reassigned frequency.
// Silencer, walls and telephone delay each harmonic by 0 to 1 of its own period, mean
// 1/2; where the speed moves, a harmonic therefore shows an earlier speed.
func (r *refiner) measure(spacing float64, floor []float64, c freqPolynomial, length float64) []line {
	bin := r.binWidth()
	r.lines = r.lines[:0]
	for j := 1; j < len(floor); j++ {
		k := int(math.Round(float64(j) * spacing / bin))
		snr := r.powerAt(k) / floor[j]
		if snr < r.o.Refine.MinSNR {
			continue
		}
		x, dx := r.pair(k)
		quotient := (imag(dx)*real(x) - real(dx)*imag(x)) / (real(x)*real(x) + imag(x)*imag(x)) // the imaginary part of dx/x
		f := float64(k)*bin - quotient/(2*math.Pi*length)
		off := f/(float64(j)*spacing) - 1
		if math.Abs(off)*float64(j)*spacing > 1/length {
			continue
		}
		late := r.o.Refine.GroupDelay * c.chirpRate / f
		spread := 2 * late
		sd := 1 / (2 * length * float64(j) * spacing * math.Sqrt(2*snr))
		r.lines = append(r.lines, line{float64(j), off + late, math.Sqrt(sd*sd + spread*spread)})
	}
	return r.lines
}

// prominence gives the mean level, in decibels, of the first harmonics over their
// floors, shape [1+harmonics]. spacing is in bins.
func (r *refiner) prominence(spacing float64, floor []float64) float64 {
	const silence = 1e-12 // power
	ratios := 1.0         // multiplied, for one logarithm
	for j := 1; j < len(floor); j++ {
		ratios *= (r.powerAt(int(math.Round(float64(j)*spacing))) + silence) / floor[j]
	}
	return 10 * math.Log10(ratios) / float64(max(1, len(floor)-1))
}

// setMask leaves out the frequencies of a mask from here on.
func (r *refiner) setMask(m mask) {
	r.masked = nil
	if m != nil {
		r.masked = m.bins(len(r.power), engine.Hz(r.binWidth()), 2*r.o.Interferer.Tolerance)
	}
}

// maskFloors gives the floors of the harmonics, shape [1+harmonics], infinite where
// they are masked. None is where the speed moves: on an axis on which the shaft turns
// evenly, steady lines are smeared. Nor are they where most harmonics would be: near a
// multiple of the other engine's speed both have the same lines.
func (r *refiner) maskFloors(floor []float64, spacing float64, c freqPolynomial) []float64 {
	if r.masked == nil || math.Abs(c.chirpRate) >= r.o.Refine.MovingFrom {
		return floor
	}
	out, left := slices.Clone(floor), 0
	for j := 1; j < len(out); j++ {
		k := int(math.Round(float64(j) * spacing / r.rate * float64(r.size)))
		if r.masked[min(k, len(r.masked)-1)] {
			out[j] = math.Inf(1)
			left++
		}
	}
	if 2*left > len(out)-1 {
		return floor
	}
	return out
}

// randomEffectsMean gives the weighted mean of the harmonics' offsets and its standard
// deviation. Where they scatter by more than their standard deviations, a common
// variance in hertz is added to each.
//
// Source: random-effects mean, DerSimonian and Laird 1986.
func randomEffectsMean(lines []line) (off, sd float64) {
	_, q, w1, w2 := weightedMean(lines, 0)
	var c float64
	for _, l := range lines {
		c += 1 / (l.sd * l.sd * l.order * l.order)
	}
	freedom := float64(len(lines) - 1)
	tau2 := max(0, (q-freedom)/(c-w2/w1))
	mean, q, w1, _ := weightedMean(lines, tau2)
	return mean, math.Sqrt(max(1, q/freedom) / w1)
}

// weightedMean gives the mean of the offsets with a variance tau2 in common, the
// weighted sum of squares about it, and the sums of the weights and of their squares
// over the squared order.
func weightedMean(lines []line, tau2 float64) (mean, q, w1, w2 float64) {
	for _, l := range lines {
		w := 1 / (l.sd*l.sd + tau2/(l.order*l.order))
		w1 += w
		w2 += w * w / (l.order * l.order)
		mean += w * l.off
	}
	mean /= w1
	for _, l := range lines {
		w := 1 / (l.sd*l.sd + tau2/(l.order*l.order))
		q += w * (l.off - mean) * (l.off - mean)
	}
	return mean, q, w1, w2
}

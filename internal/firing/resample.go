package firing

import (
	"math"
	"slices"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// revolutions are consecutive revolutions of the shaft, resampled to equal angles.
type revolutions struct {
	start []engine.Seconds    // when each begins
	wave  [][]float32         // shape [revolutions][samples]
	rms   [][Quarters]float64 // as in Cycle
}

// drop forgets the revolutions before a time, and makes room for so many more. The others
// are copied: all may still be read.
func (r *revolutions) drop(before engine.Seconds, more int) {
	n := 0
	for n < len(r.start) && r.start[n] < before {
		n++
	}
	r.start, r.wave, r.rms = roomy(r.start[n:], more), roomy(r.wave[n:], more), roomy(r.rms[n:], more)
}

// roomy copies a slice into one with room for so many more.
func roomy[T any](s []T, more int) []T { return append(make([]T, 0, len(s)+more), s...) }

// resampler resamples the sound of a run of points to equal angles of the shaft, one
// interval between points after the other. Where in the working cycle a revolution
// begins is not known and does not matter.
//
// Source: Fyfe and Munck 1997.
type resampler struct {
	per         int     // samples per revolution
	rate        float64 // of the sound, Hz
	angle, next float64 // revolutions, from the start of the run: of the shaft, and of the next sample
	start       engine.Seconds
	wave        []float32   // of the revolution under way
	room        [][]float32 // for the next ones

	times, places []float64 // of the samples in an interval: when, and where in the sound
	samples       []float32
}

// resample takes in the interval between two points; x is the sound around it.
func (r *resampler) resample(out *revolutions, x audio.Chunk, a, b shaft.Point) {
	t0, t1 := float64(a.At), float64(b.At)
	f0, f1 := float64(a.Speed.Hz()), float64(b.Speed.Hz())
	slope := (f1 - f0) / (t1 - t0)
	end := r.angle + (f0+f1)/2*(t1-t0)
	r.times = r.times[:0]
	for ; r.next < end; r.next += 1 / float64(r.per) {
		r.times = append(r.times, r.next-r.angle)
	}
	dsp.TurnTimes(r.times, f0, slope)
	r.places = r.places[:0]
	for i, s := range r.times {
		r.times[i] += t0
		r.places = append(r.places, (t0+s)*r.rate-float64(x.From))
	}
	r.samples = slices.Grow(r.samples[:0], len(r.places))[:len(r.places)]
	dsp.CubicsAt(r.samples, x.Samples, r.places)
	r.angle = end
	r.cut(out)
}

// cut cuts the samples of an interval into revolutions.
func (r *resampler) cut(out *revolutions) {
	for i := 0; i < len(r.samples); {
		if len(r.wave) == 0 {
			const atOnce = 64
			if len(r.room) == 0 {
				r.room = dsp.Rows[float32](atOnce, r.per)
			}
			r.start, r.wave, r.room = engine.Seconds(r.times[i]), r.room[0][:0], r.room[1:]
		}
		n := min(r.per-len(r.wave), len(r.samples)-i)
		r.wave = append(r.wave, r.samples[i:i+n]...)
		i += n
		if len(r.wave) == r.per {
			out.start = append(out.start, r.start)
			out.wave = append(out.wave, r.wave)
			out.rms = append(out.rms, quarterRMS(r.wave))
			r.wave = nil
		}
	}
}

// quarterRMS gives the root mean square difference from sample to sample in each
// quarter of a revolution.
func quarterRMS(w []float32) (rms [Quarters]float64) {
	for q := range rms {
		lo, hi := q*len(w)/Quarters, (q+1)*len(w)/Quarters
		var e float64
		for j := max(lo, 1); j < hi; j++ {
			d := float64(w[j] - w[j-1])
			e += d * d
		}
		rms[q] = math.Sqrt(e / float64(hi-lo))
	}
	return rms
}

// relativeStrength gives the strength of each quarter less the mean of the same
// quarter over the revolutions around, over the mean of all: shape
// [revolutions][Quarters].
func (r *revolutions) relativeStrength(average int) [][]float32 {
	n := len(r.rms)
	sums := make([][Quarters]float64, n+1)
	for i, rms := range r.rms {
		for q, v := range rms {
			sums[i+1][q] = sums[i][q] + v
		}
	}
	out := dsp.Rows[float32](n, Quarters)
	for i, rms := range r.rms {
		lo, hi := max(0, i-average/2), min(n, i+average/2+1)
		var mean [Quarters]float64
		all := 1e-9 // digital silence
		for q := range mean {
			mean[q] = (sums[hi][q] - sums[lo][q]) / float64(hi-lo)
			all += mean[q] / Quarters
		}
		for q := range mean {
			out[i][q] = float32((float64(float32(rms[q])) - mean[q]) / all)
		}
	}
	return out
}

// synchronousResidual gives the slope of each revolution less the mean slope of
// those around it: what each has that the others have not.
func (r *revolutions) synchronousResidual(average int) [][]float32 {
	out := r.slopes()
	if len(out) == 0 {
		return nil
	}
	half, per := average/2, len(out[0])
	sum := make([]float64, per)              // of the slopes from half revolutions before to half after
	before := dsp.Rows[float32](half+1, per) // the slopes of the last ones, by turns
	after := 0
	for i, slope := range out {
		for ; after < min(len(out), i+half+1); after++ {
			for j, v := range out[after] {
				sum[j] += float64(v)
			}
		}
		oldest := before[i%len(before)]
		for j, v := range oldest {
			sum[j] -= float64(v)
		}
		copy(oldest, slope)
		n := float64(after - max(0, i-half))
		for j, v := range slope {
			slope[j] = v - float32(sum[j]/n)
		}
	}
	return out
}

// slopes gives the differences from sample to sample, shape [revolutions][samples].
func (r *revolutions) slopes() [][]float32 {
	if len(r.wave) == 0 {
		return nil
	}
	last := r.wave[0][0]
	slope := dsp.Rows[float32](len(r.wave), len(r.wave[0]))
	for i, w := range r.wave {
		for j, v := range w {
			slope[i][j], last = v-last, v
		}
	}
	return slope
}

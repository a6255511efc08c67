package shaft

import (
	"math"
	"math/cmplx"

	"topnote/internal/dsp"
)

// clearEven takes back the stretches that are tones and gives the others. The error is that
// of a sound that cannot be read back.
func (j *job) clearEven(ps []Point, all []stretch) (others []stretch, err error) {
	for _, s := range all {
		tone, err := j.isTone(ps, s)
		if err != nil {
			return nil, err
		}
		if tone {
			clearSpeeds(ps[s.from:s.to])
			continue
		}
		others = append(others, s)
	}
	return others, nil
}

// isTone reports whether the lines of a stretch keep time as no shaft does: what
// makes it is a tone, of a loudspeaker, a whistle or an electric motor. Noise hides it from
// clearTones, which needs the speed of single points; a line over seconds stands out of
// noise that is as loud as all of the tone. The error is that of a sound that cannot be
// read back.
func (j *job) isTone(ps []Point, s stretch) (bool, error) {
	const most = 9 // windows: enough for a median, however long the sound
	still := j.options.hops(j.options.Calls.Still)
	long := min(2*still, s.to-s.from)
	if long < still {
		return false, nil
	}
	step := max(long/2, (s.to-s.from-long)/(most-1))
	var departures []float64
	var buf []float32
	for from := s.from; from+long <= s.to; from += step {
		x, err := j.sound.Segment(buf, j.sample(from), min(j.sound.Len(), j.sample(from+long)))
		if err != nil {
			return false, err
		}
		buf = x
		departures = append(departures, j.departure(x, ps[from:from+long]))
	}
	return dsp.Median(departures) < j.options.Presence.Even, nil
}

// departure gives by how much the timing of the lines departs from that of one whose
// frequency changes evenly: root mean square, relative to the time, of the strongest line
// and of the one that tells most of it, whichever departs more.
func (j *job) departure(x []float32, ps []Point) (most float64) {
	spacings := make([]float64, len(ps)) // of the lines, Hz
	for i, p := range ps {
		spacings[i] = p.firing(j.known.Spec.FiringOrder()) / float64(p.period())
	}
	window := j.options.Spectra[len(j.options.Spectra)-1].Window
	for _, f := range j.timingLines(x, dsp.Median(spacings)) {
		phases := phasesOf(x, f/float64(j.rate), int(float64(window)*float64(j.rate)))
		if len(phases) <= timingCourse {
			return math.Inf(1)
		}
		most = max(most, withoutCourse(phases)/f/(float64(len(x))/float64(j.rate)))
	}
	return most
}

// withoutCourse gives the root mean square of what phases have beside a parabola.
func withoutCourse(phases []float64) float64 {
	var course [][]float64
	for k := range timingCourse {
		power := make([]float64, len(phases))
		for i := range power {
			power[i] = math.Pow(float64(i)/float64(len(phases)-1)*2-1, float64(k))
		}
		course = append(course, unit(power, course))
	}
	for _, u := range course {
		part := dsp.Dot64(phases, u)
		for i := range phases {
			phases[i] -= part * u[i]
		}
	}
	return math.Sqrt(dsp.Dot64(phases, phases) / float64(len(phases)-timingCourse))
}

// timingCourse is how many numbers describe the timing of a line whose frequency changes
// evenly: a parabola.
const timingCourse = 3

// timingLines gives the frequency, Hz, of the strongest of the lines so far apart, and of
// the one that tells most of the timing: of the highest amplitude times its order, as the
// Cramer-Rao bound has it.
func (j *job) timingLines(x []float32, spacing float64) (f [2]float64) {
	o := &j.options
	size := dsp.TransformSize(2 * len(x))
	fft, power := dsp.NewRealFFT(size), make([]float32, size/2+1)
	n := len(x) / 2
	clear(fft.Input()[n:])
	dsp.Windowed(fft.Input()[:n], x, dsp.Hann32(len(x)))
	fft.PowerSpectrum(power)
	bin := float64(j.rate) / float64(size)
	f = [2]float64{bin, bin}
	var most [2]float32
	for k := 1; k <= o.Refine.Harmonics && float64(k)*spacing < float64(o.Spectra[0].Top); k++ {
		line, near := float64(k)*spacing, min(gridReach*float64(k), 0.5)*spacing
		for b := int((line - near) / bin); b <= int((line+near)/bin) && b < len(power); b++ {
			for i, weight := range [...]float32{1, float32(k * k)} {
				if v := weight * power[b]; v > most[i] {
					most[i], f[i] = v, float64(b)*bin
				}
			}
		}
	}
	return f
}

// phasesOf gives the phase, in turns, of a line of so many turns in a sample, over that of
// a steady one, in windows of n samples that overlap by half.
func phasesOf(x []float32, turns float64, n int) (phases []float64) {
	taper := dsp.Hann(n)
	for from := 0; from+n <= len(x); from += n / 2 {
		var sum complex128
		at, by := cmplx.Rect(1, -2*math.Pi*turns*float64(from)), cmplx.Rect(1, -2*math.Pi*turns)
		for i, v := range x[from : from+n] {
			sum += complex(taper[i]*float64(v), 0) * at
			at *= by
		}
		phase := cmplx.Phase(sum) / (2 * math.Pi)
		if len(phases) > 0 {
			last := phases[len(phases)-1]
			phase = last + math.Remainder(phase-last, 1)
		}
		phases = append(phases, phase)
	}
	return phases
}

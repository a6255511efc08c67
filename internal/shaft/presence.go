package shaft

import (
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// PresenceOptions says by what a clip shows that an engine runs in it. What calls, sings
// or hums can be followed for a while, too.
type PresenceOptions struct {
	Opening   engine.Seconds // in which a throttle changes the speed by an octave; throats and tunes glide by less
	ToldShare float64        // 0 to 1: of the clip, told of an engine that shows no throttle and is soon over
	Vibrato   float64        // 0 to 1: of the swings of the speed in that time that one beat makes
	Even      float64        // of a time: by how much less than any shaft's the timing of a tone departs from an even one
}

func defaultPresence() PresenceOptions {
	return PresenceOptions{Opening: 1.2, ToldShare: 0.85, Vibrato: 0.75, Even: 10e-6}
}

// clearAbsent takes back all speeds of a clip that never shows an engine: its throttle
// is neither opened nor shut, nothing is followed without a break, a lull or a vibrato for
// longer than a breath, and it is not heard clearly nearly all the time. The error is that of a
// sound that cannot be read back.
func (j *job) clearAbsent(ps []Point) error {
	o := &j.options
	all := o.stretches(ps)
	if slices.ContainsFunc(all, func(s stretch) bool { return o.throttled(ps[s.from:s.to]) }) {
		return nil
	}
	all = slices.DeleteFunc(all, func(s stretch) bool {
		left := o.leftOfHum(ps[s.from:s.to])
		if left {
			clearSpeeds(ps[s.from:s.to])
		}
		return left
	})
	if steps, _ := o.noteSteps(ps); steps > 0 {
		clearSpeeds(ps)
		return nil
	}
	voice, voices := make([]bool, len(ps)), false
	for _, s := range all {
		lulls := o.markLulls(voice[s.from:s.to], ps[s.from:s.to], j.level[s.from:s.to])
		vibrato := o.markVibrato(voice[s.from:s.to], ps[s.from:s.to])
		voices = voices || lulls || vibrato
	}
	all, err := j.clearEven(ps, all)
	if err != nil {
		return err
	}
	told := 0
	for _, s := range all {
		told += s.to - s.from
	}
	held := slices.ContainsFunc(all, func(s stretch) bool { return o.held(voice[s.from:s.to]) })
	if !held && (voices || !o.lasts(ps, told, j.level)) {
		clearSpeeds(ps)
	}
	return nil
}

// leftOfHum reports whether the lines of a stretch are, in the middle, at a multiple of
// half the mains whose hum was taken out: noise suppression and automatic gain make hum
// waver, and what wavers stays. Each window may read it off by half its resolution; the
// middle of those in a breath is nearer by the root of their number.
func (o *Options) leftOfHum(ps []Point) bool {
	window := o.Spectra[len(o.Spectra)-1].Window
	near := 1 / (2 * math.Sqrt(float64(window*o.Calls.Breath))) // Hz
	return slices.ContainsFunc(o.Hum, func(mains engine.Hz) bool {
		var off []float64 // Hz
		for _, p := range ps {
			f := p.Speed.Hz() / engine.Hz(p.period())
			off = append(off, math.Remainder(float64(f), float64(mains/2)))
		}
		return math.Abs(dsp.Median(off)) < near
	})
}

// markLulls marks where the sound of a stretch that never comes down to an idle is softer
// than the loudest tenth of it within a breath before and after, though the speed hardly
// moves and is no idle beside most of those there, either. It reports whether it is
// anywhere: a throttle that is shut slows the engine, a throat stays on its pitch.
func (o *Options) markLulls(lull []bool, ps []Point, level []float64) (any bool) {
	const loud = 0.9 // quantile: single syllables beside an engine are louder
	rates, breath := chirpRates(ps, o.Hop), o.hops(o.Calls.Breath)
	speeds := make([]float64, len(ps))
	for i, p := range ps {
		speeds[i] = float64(p.Speed)
	}
	if slices.Min(speeds) < float64(o.Calls.Fast) {
		return false
	}
	for i := 1; i+1 < len(ps); i++ {
		if math.Abs(rates[i]) > o.Calls.MaxRate {
			continue
		}
		lulled := func(from, to int) bool {
			over := level[i] + float64(o.Calls.Depth)
			return slices.Max(level[from:to]) > over && // mostly the one look is enough
				dsp.Quantile(dsp.Sorted(level[from:to]), loud) > over &&
				speeds[i] >= o.Octave.MaxIdle*dsp.Median(speeds[from:to])
		}
		lull[i] = lulled(max(0, i-breath), i) && lulled(i+1, min(len(ps), i+1+breath))
		any = any || lull[i]
	}
	return any
}

// held reports whether a stretch goes on for a breath that is further than a breath from
// what is marked as a voice.
func (o *Options) held(voice []bool) bool {
	breath := o.hops(o.Calls.Breath)
	var from int // of what follows the last of the voice
	for i := range voice {
		if !voice[i] && i+1 < len(voice) {
			continue
		}
		to := i - breath
		if !voice[i] {
			to = len(voice)
		}
		if to-from >= breath {
			return true
		}
		from = i + breath
	}
	return false
}

// mostlySure reports whether more than half of so many points are sure.
func mostlySure(ps []Point, of int) bool {
	n := 0
	for _, p := range ps {
		if p.sure() {
			n++
		}
	}
	return 2*n > of
}

// throttled reports whether the speed of a stretch changes by an octave within the time
// that a throttle takes.
func (o Options) throttled(ps []Point) bool {
	within := o.hops(o.Presence.Opening)
	for i, p := range ps {
		for k := i + 1; k < min(len(ps), i+within) && p.sure(); k++ {
			if ps[k].sure() && math.Abs(math.Log2(float64(ps[k].Speed/p.Speed))) >= 1 && mostlySure(ps[i:k+1], k+1-i) {
				return true
			}
		}
	}
	return false
}

// lasts reports whether the speed is told in nearly all of the points that are not
// digital silence, and much of it surely.
func (o Options) lasts(ps []Point, told int, level []float64) bool {
	sounding := 0
	for _, v := range level {
		if v > silent {
			sounding++
		}
	}
	return float64(told) >= o.Presence.ToldShare*float64(sounding) && mostlySure(ps, told)
}

package shaft

import (
	"math"
	"slices"

	"topnote/internal/engine"
)

// PresenceOptions says by what a clip shows that an engine runs in it. What calls, sings
// or hums can be followed for a while, too.
type PresenceOptions struct {
	Opening   engine.Seconds // in which a throttle changes the speed by an octave; throats and tunes glide by less
	ToldShare float64        // 0 to 1: of the clip, told of an engine that shows no throttle and is soon over
}

func defaultPresence() PresenceOptions {
	return PresenceOptions{Opening: 1.2, ToldShare: 0.85}
}

// clearAbsent takes back all speeds of a clip that never shows an engine: its throttle
// is neither opened nor shut, nothing is followed without a break for longer than a
// breath, and it is not heard clearly nearly all the time. The error is that of a sound
// that cannot be read back.
func (j *job) clearAbsent(ps []Point) error {
	o := &j.options
	all := o.stretches(ps)
	if slices.ContainsFunc(all, func(s stretch) bool { return o.throttled(ps[s.from:s.to]) }) {
		return nil
	}
	steps, told := o.noteSteps(ps)
	if steps > 0 {
		clearSpeeds(ps)
		return nil
	}
	breath := o.hops(o.Calls.Breath)
	if slices.ContainsFunc(all, func(s stretch) bool { return s.to-s.from >= breath }) {
		return nil
	}
	sounding, err := j.sounding()
	if err == nil && !o.lasts(ps, told, sounding) {
		clearSpeeds(ps)
	}
	return err
}

// sounding counts the hops that are no digital silence.
func (j *job) sounding() (n int, err error) {
	var buf []float32
	for i := range j.count() {
		if buf, err = j.sound.Segment(buf, j.sample(i), min(j.sound.Len(), j.sample(i+1))); err != nil {
			return 0, err
		}
		if slices.ContainsFunc(buf, func(v float32) bool { return v != 0 }) {
			n++
		}
	}
	return n, nil
}

// sure reports whether a reading was refined, and well.
func (o Options) sure(p Point) bool {
	return p.Speed.Told() && p.SD <= engine.RPM(o.Refine.PriorSD/2)*p.Speed
}

// mostlySure reports whether more than half of so many points are sure.
func (o Options) mostlySure(ps []Point, of int) bool {
	n := 0
	for _, p := range ps {
		if o.sure(p) {
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
		for k := i + 1; k < min(len(ps), i+within) && o.sure(p); k++ {
			if o.sure(ps[k]) && math.Abs(math.Log2(float64(ps[k].Speed/p.Speed))) >= 1 && o.mostlySure(ps[i:k+1], k+1-i) {
				return true
			}
		}
	}
	return false
}

// lasts reports whether the speed is told in nearly all of the points in which there is
// sound, and much of it surely.
func (o Options) lasts(ps []Point, told, sounding int) bool {
	return float64(told) >= o.Presence.ToldShare*float64(sounding) && o.mostlySure(ps, told)
}

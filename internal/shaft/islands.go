package shaft

import (
	"math"

	"topnote/internal/engine"
)

// stretch is consecutive points with speeds that a shaft can have run through.
type stretch struct{ from, to int }

// clearIslands takes back the stretches, no longer than a breath, that no shaft comes
// to or leaves in the time, where it comes from the stretch before to the one after:
// something else was read. A longer one is an engine whose rise and fall were drowned.
func (o Options) clearIslands(ps []Point) {
	all, breath := o.stretches(ps), o.hops(o.Calls.Breath)
	for i := 1; i+1 < len(all); i++ {
		before, s, after := all[i-1], all[i], all[i+1]
		if s.to-s.from < breath && leapsTo(ps, before, s, o.Hop) && leapsTo(ps, s, after, o.Hop) && !leapsTo(ps, before, after, o.Hop) {
			clearSpeeds(ps[s.from:s.to])
			all = append(all[:i], all[i+1:]...)
			i-- // the next has another one before it now
		}
	}
}

// stretches cuts the told points where the speed leaps.
func (o Options) stretches(ps []Point) []stretch { return stretchesOf(ps, o.Hop) }

func stretchesOf(ps []Point, hop engine.Seconds) (all []stretch) {
	for from, to := range runs(ps) {
		for i := from + 1; i < to; i++ {
			if leapsTo(ps, stretch{from, i}, stretch{i, to}, hop) {
				all = append(all, stretch{from, i})
				from = i
			}
		}
		all = append(all, stretch{from, to})
	}
	return all
}

// leapsTo reports whether the speed changes from the end of one stretch to the
// beginning of another by more than a shaft can in the time.
func leapsTo(ps []Point, a, b stretch, hop engine.Seconds) bool {
	change := math.Abs(math.Log(float64(ps[b.from].Speed / ps[a.to-1].Speed)))
	return change > farthest(b.from-a.to+1, hop)
}

// slack is by how much ln speed may seem to change faster than it does: readings of a
// fast change are blurred.
const slack = 0.2

// farthest gives by how much ln speed can seem to change in some hops.
func farthest(hops int, hop engine.Seconds) float64 {
	return slack + maxSlew*float64(hops)*float64(hop)
}

package shaft

import (
	"math"

	"topnote/internal/unit"
)

// points gives a point for every hop and the belief in its firing periods: from
// the lattice where there was a look, and from the looks on either side between
// two. Both have heard the same lines, or there would be one in between.
func (f *follower) points(hs []heard) (ps []Point, belief [][maxPeriod]float64) {
	ps = make([]Point, hs[len(hs)-1].hop+1)
	belief = make([][maxPeriod]float64, len(ps))
	f.lat.smoothed(hs, func(t int, p []float32) {
		at := hs[t].hop
		ps[at] = decode(p, f.sc, f.order)
		if ps[at].Speed.Told() {
			belief[at] = periods(p, f.sc, float64(ps[at].Speed.Hz())*f.order)
		}
	})
	for _, h := range hs[1:] {
		a, b := h.hop-h.since, h.hop
		for i := a + 1; i < b; i++ {
			near := a
			if i-a > b-i {
				near = b
			}
			ps[i], belief[i] = ps[near], belief[near]
			if together(ps[a], ps[b], f.o.RefineReach) {
				share := float64(i-a) / float64(b-a)
				ps[i].Speed = ps[a].Speed + unit.RPM(share)*(ps[b].Speed-ps[a].Speed)
			}
		}
	}
	for i := range ps {
		ps[i].At = unit.Seconds(float64(i) * float64(f.o.Hop))
	}
	return ps, belief
}

// refine replaces the speeds of the grid by refined ones, with the standard
// deviation that the noise explains, and gives how clear each point's lines
// are, in decibels. The windows are some hops long, so that every other point is
// half-way between its neighbours where these agree.
func (f *follower) refine(ps []Point, x []float32) (clear []float64) {
	slope := slopes(ps, f.o.Hop)
	clear = make([]float64, len(ps))
	one := func(i int) {
		p := &ps[i]
		if !p.Speed.Told() {
			return
		}
		v, ok := f.refiner.at(x, float64(p.At), float64(p.Speed.Hz())*f.order, max(1, int(p.Fires)), slope[i])
		clear[i] = v.clear
		if ok {
			p.Speed = unit.Hz(v.f / f.order).RPM()
			p.SD = unit.RPM(v.sd/v.f) * p.Speed
		} else {
			p.SD = unit.RPM(f.o.RefineTrust) * p.Speed
		}
	}
	for i := 0; i < len(ps); i += 2 {
		one(i)
	}
	for i := 1; i < len(ps); i += 2 {
		if i+1 == len(ps) || min(clear[i-1], clear[i+1]) < float64(f.o.ClearSomewhere) || !together(ps[i-1], ps[i+1], f.o.RefineAgree) || !together(ps[i-1], ps[i], f.o.RefineReach) {
			one(i)
			continue
		}
		a, b := ps[i-1], ps[i+1]
		ps[i].Speed, ps[i].SD = (a.Speed+b.Speed)/2, (a.SD+b.SD)/2
		clear[i] = (clear[i-1] + clear[i+1]) / 2
	}
	return clear
}

// together reports whether two points have a speed, and nearly the same: within
// so much of its logarithm.
func together(a, b Point, within float64) bool {
	return a.Speed.Told() && b.Speed.Told() && math.Abs(math.Log(float64(b.Speed/a.Speed))) <= within
}

package shaft

import (
	"context"
	"math"

	"topnote/internal/engine"
)

// points gives a point for every hop: from
// the lattice where there was a look, and from the looks on either side between
// two. Both have heard the same lines, or there would be one in between.
func (f *follower) points(ctx context.Context, hs []observation) (ps []Point, evidence float64, err error) {
	for t := range hs {
		hs[t].lo, hs[t].hi = f.within.grid(f.grid, f.order, f.firstPoint+hs[t].hop)
	}
	ps = make([]Point, hs[len(hs)-1].hop+1)
	d := newPosteriorDecoder(f.grid, f.order)
	evidence, err = f.lattice.forwardBackward(ctx, hs, func(t int, p []float32) {
		at := hs[t].hop
		ps[at] = d.point(p)
		if ps[at].Speed.Told() {
			for n, share := range periods(p, f.grid, float64(ps[at].Speed.Hz())*f.order) {
				ps[at].PeriodShare[n] = float32(share)
			}
		}
	})
	if err != nil {
		return nil, 0, err
	}
	for _, h := range hs[1:] {
		a, b := h.hop-h.hopsSince, h.hop
		same := sameSpeed(ps[a], ps[b], f.o.RefineReach)
		for i := a + 1; i < b; i++ {
			near := a
			if i-a > b-i {
				near = b
			}
			ps[i] = ps[near]
			if same {
				share := float64(i-a) / float64(b-a)
				ps[i].Speed = ps[a].Speed + engine.RPM(share)*(ps[b].Speed-ps[a].Speed)
			}
		}
	}
	for i := range ps {
		ps[i].At = engine.Seconds(float64(i) * float64(f.o.Hop))
	}
	return ps, evidence, nil
}

// sameSpeed reports whether two points have a speed, and nearly the same: within
// so much of its logarithm.
func sameSpeed(a, b Point, within float64) bool {
	return a.Speed.Told() && b.Speed.Told() && math.Abs(math.Log(float64(b.Speed/a.Speed))) < within
}

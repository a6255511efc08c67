package shaft

import (
	"context"
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

const (
	// neighbourhood is how many points of the grid on either side belong to a
	// reading: 4 %.
	neighbourhood = 3

	// minAlternativeShare is the least posterior that a second reading is given with.
	minAlternativeShare = 0.02
)

// points gives a point for every hop: from the posterior where there is a frame, from
// those of the frames on either side in between. Both have the same line spacing, or
// there would be a frame between them. evidence is the log likelihood of all frames.
func (f *follower) points(ctx context.Context, frames []observation) (ps []Point, evidence float64, err error) {
	for t := range frames {
		frames[t].lo, frames[t].hi = f.within.grid(f.grid, f.order, f.firstPoint+frames[t].hop)
	}
	ps = make([]Point, frames[len(frames)-1].hop+1)
	d := newPosteriorDecoder(f.grid, f.order)
	evidence, err = f.lattice.forwardBackward(ctx, frames, &f.pool, func(t int, p []float32) { ps[frames[t].hop] = d.point(p) })
	if err != nil {
		return nil, 0, err
	}
	for _, frame := range frames[1:] {
		f.o.fillBetween(ps, frame.hop-frame.hopsSince, frame.hop)
	}
	for i := range ps {
		ps[i].At = engine.Seconds(float64(i) * float64(f.o.Hop))
	}
	return ps, evidence, nil
}

// fillBetween gives the points between a and b those of the nearer, their speed on a
// straight line where both have the same.
func (o *Options) fillBetween(ps []Point, a, b int) {
	same := sameSpeed(ps[a], ps[b], o.Refine.Reach)
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

// sameSpeed reports whether two points have a speed, within so much of its logarithm.
func sameSpeed(a, b Point, within float64) bool {
	return a.Speed.Told() && b.Speed.Told() && math.Abs(math.Log(float64(b.Speed/a.Speed))) < within
}

// posteriorDecoder turns posteriors into points. It keeps its buffers, so it must not
// be used by two goroutines at once.
type posteriorDecoder struct {
	grid        freqGrid
	order       float64   // firings in a revolution
	at, regions []float32 // posterior of each frequency, and of the neighbourhood of it
	padded      []float32 // at, between zeros
}

func newPosteriorDecoder(grid freqGrid, order float64) *posteriorDecoder {
	padded := make([]float32, grid.n+2*neighbourhood)
	return &posteriorDecoder{grid: grid, order: order, at: padded[neighbourhood:][:grid.n], padded: padded, regions: make([]float32, grid.n)}
}

// point turns the posterior at one frame, shape [period][frequency] and then "no
// engine", into a point: the reading with the highest posterior, that posterior, and
// the second reading.
func (d *posteriorDecoder) point(p []float32) Point {
	best := d.sumRegions(p)
	none := float64(p[len(p)-1])
	share := float64(d.regions[best])
	pt := Point{Confidence: min(1, max(share, none))}
	if share < none || best >= d.grid.engineEnd {
		return pt
	}
	var sum, weight float64
	for j := max(0, best-neighbourhood); j <= min(d.grid.n-1, best+neighbourhood); j++ {
		sum += float64(d.at[j]) * float64(j)
		weight += float64(d.at[j])
	}
	pt.Speed = d.speed(sum / weight)
	periods := d.periodShare(p, d.grid.freq(float64(best)))
	for n := range periods {
		if n == 0 || periods[n] > periods[int(pt.Fires)-1] {
			pt.Fires = Firing(n + 1)
		}
	}
	for n, v := range d.periodShare(p, float64(pt.Speed.Hz())*d.order) {
		pt.PeriodShare[n] = float32(v)
	}
	second := -1
	for i, v := range d.regions[:d.grid.engineEnd] {
		if (i < best-2*neighbourhood || i > best+2*neighbourhood) && (second < 0 || v > d.regions[second]) {
			second = i
		}
	}
	if second >= 0 && float64(d.regions[second]) >= minAlternativeShare {
		pt.Alternative, pt.AlternativeShare = d.speed(float64(second)), float64(d.regions[second])
	}
	return pt
}

// speed gives the shaft speed at a point of the grid.
func (d *posteriorDecoder) speed(i float64) engine.RPM {
	return engine.RPM(d.grid.freq(i) / d.order * 60)
}

// sumRegions sums the posterior over firing periods and then over the neighbourhood
// of each frequency, and gives the frequency with the highest.
func (d *posteriorDecoder) sumRegions(p []float32) (best int) {
	var periods [MaxPeriod]dsp.Scaled
	for n := range periods {
		periods[n] = dsp.Scaled{By: 1, X: p[n*d.grid.n:][:d.grid.n]}
	}
	clear(d.at)
	dsp.AddFour32(d.at, &periods)
	var around [2*neighbourhood + 1]float32
	for i := range around {
		around[i] = 1
	}
	dsp.Correlate32(d.regions, d.padded, around[:])
	return dsp.IndexOfLargest(d.regions)
}

// periodShare gives the posterior of each firing period in the neighbourhood of a
// frequency; its sum is 1.
func (d *posteriorDecoder) periodShare(p []float32, f float64) (share [MaxPeriod]float64) {
	i := int(math.Round(math.Log2(f/d.grid.low) * d.grid.perOctave))
	var sum float64
	for n := range MaxPeriod {
		for j := max(0, i-neighbourhood); j <= min(d.grid.n-1, i+neighbourhood); j++ {
			share[n] += float64(p[n*d.grid.n+j])
			sum += float64(p[n*d.grid.n+j])
		}
	}
	for n := range share {
		share[n] /= max(sum, 1e-30)
	}
	return share
}

package shaft

import (
	"context"
	"math"
	"slices"

	"topnote/internal/engine"
)

// RefineOptions says how speeds are refined once the lattice has found them.
type RefineOptions struct {
	MinWindow, MaxWindow float64 // s: those of the frames
	WindowCycles         float64 // periods of the line spacing in a window in between
	TaperPower           float64 // power of the half sine that the window is
	Harmonics            int     // that are used: higher ones tell more in noise, but jitter blurs them first
	HarmonicsPerMiss     int     // more of them for each firing that is missed
	GroupDelay           float64 // of every harmonic, in periods of its own; its standard deviation is twice that
	Reach                float64 // of the search around the frequency of the lattice, relative
	Step                 float64 // of the search, relative
	PriorSD              float64 // of the frequency of the lattice, relative; the point between two that differ by less is their mean
	MinSNR               float64 // power of a harmonic over the floor
	MovingFrom           float64 // d ln speed / dt, 1/s, from which points are estimated twice and unclear ends of runs trimmed
}

// gridReach is how far, relative, the frequency of the lattice is off at most: two
// standard deviations.
const gridReach = 0.04

func defaultRefine(short, long FrameConfig) RefineOptions {
	return RefineOptions{
		MinWindow: float64(short.Window), MaxWindow: float64(long.Window), WindowCycles: 6, TaperPower: 1.25,
		Harmonics: int(short.HalfWeightAt), HarmonicsPerMiss: 3, GroupDelay: 0.5,
		Reach: gridReach, Step: 0.002, PriorSD: gridReach / 2, MinSNR: 6, MovingFrom: 1,
	}
}

// refine replaces the speeds of the grid by refined ones, with the standard deviation
// that noise explains, and gives the prominence of each point's lines in decibels.
// The chirp rate comes from the points of the grid; where the speed moves, the
// refined points give a better one, and points are estimated again.
func (f *follower) refine(ctx context.Context, ps []Point, x []float32) (prominence []float64, err error) {
	rates := chirpRates(ps, f.o.Hop)
	prominence = make([]float64, len(ps))
	refined := make([]bool, len(ps))
	first := func(i int) {
		p := &ps[i]
		if !p.Speed.Told() {
			return
		}
		e, ok := f.refiner.estimate(x, float64(p.At), p.period(), freqPolynomial{f: p.firing(f.order), chirpRate: rates[i]})
		p.SD = engine.RPM(f.o.Refine.PriorSD) * p.Speed
		if ok {
			p.set(e.f, e.sd, f.order)
		}
		prominence[i], refined[i] = e.prominence, ok
	}
	for i := 0; i < len(ps) && ctx.Err() == nil; i += 2 {
		first(i)
	}
	for i := 1; i < len(ps) && ctx.Err() == nil; i += 2 {
		if !f.o.interpolate(ps, prominence, i) {
			first(i)
		}
	}
	f.refineMoving(ctx, ps, x, prominence, refined)
	return prominence, ctx.Err()
}

// interpolate gives a point the mean of its neighbours where these are clear and
// agree: the windows are some hops long. It reports whether it could.
func (o *Options) interpolate(ps []Point, prominence []float64, i int) bool {
	if i+1 == len(ps) || min(prominence[i-1], prominence[i+1]) < float64(o.Gate.PeakProminence) {
		return false
	}
	a, p, b := ps[i-1], &ps[i], ps[i+1]
	if !sameSpeed(a, b, o.Refine.PriorSD) || !sameSpeed(a, *p, o.Refine.Reach) {
		return false
	}
	p.Speed, p.SD = (a.Speed+b.Speed)/2, (a.SD+b.SD)/2
	prominence[i] = (prominence[i-1] + prominence[i+1]) / 2
	return true
}

// refineMoving estimates the points whose speed moves again, along the polynomial
// through the points around them. refined tells for which there was an estimate.
func (f *follower) refineMoving(ctx context.Context, ps []Point, x []float32, prominence []float64, refined []bool) {
	first := slices.Clone(ps)
	for i := 0; i < len(ps) && ctx.Err() == nil; i++ {
		p := &ps[i]
		c, ok := fitFreqPolynomial(first, i, f.order, f.o.Hop)
		if !ok || math.Abs(c.chirpRate) < f.o.Refine.MovingFrom {
			continue
		}
		e, ok := f.refiner.estimate(x, float64(p.At), p.period(), c)
		switch {
		case ok:
			p.set(e.f, e.sd, f.order)
			prominence[i] = e.prominence
		case !refined[i]:
			p.set(c.f, math.Hypot(c.sd, f.o.Refine.PriorSD)*c.f, f.order)
		}
	}
}

// firing gives the firing frequency, were none missed, in hertz; order is the firings
// in a revolution.
func (p *Point) firing(order float64) float64 { return float64(p.Speed.Hz()) * order }

// period gives the firing period whose lines are looked for.
func (p *Point) period() int { return max(1, int(p.Fires)) }

// set sets the speed from a firing frequency and its standard deviation, in hertz.
func (p *Point) set(f, sd, order float64) {
	p.Speed, p.SD = engine.Hz(f/order).RPM(), engine.Hz(sd/order).RPM()
}

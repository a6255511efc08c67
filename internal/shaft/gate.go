package shaft

import (
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// GateOptions says which runs of points are taken for an engine. A run is consecutive
// points with a speed.
type GateOptions struct {
	MinProminence  engine.Decibel // of a point, averaged; and of nine points in ten, somewhere in a run for MinRun
	PeakProminence engine.Decibel // that every run reaches, averaged
	MinRun         engine.Seconds // of points with a speed; prominence is averaged over that time

	// Music: steps of more than RefineOptions.Reach within StepWithin, between speeds
	// that keep within SteadyWithin, in ln speed, for two thirds of that. MinSteps of them make
	// music where there is one in MaxStepInterval; recordings of engines have none.
	SteadyWithin                float64
	StepWithin, MaxStepInterval engine.Seconds
	MinSteps                    int
}

func defaultGate() GateOptions {
	return GateOptions{
		MinProminence: 2, PeakProminence: 5, MinRun: 0.8,
		StepWithin: 0.3, SteadyWithin: 0.005, MinSteps: 3, MaxStepInterval: 2,
	}
}

// gate clears unreliable readings. prominence is that of each point's lines, in
// decibels. A run is kept when it is long enough, prominent somewhere, and somewhere
// without the breaks that speech has; of it, points that are lost in noise are
// cleared. A faint idle that is followed without a break into a clear plateau belongs
// to the same engine; unclear ends that move are trimmed. Music is cleared.
func gate(ps []Point, prominence []float64, o Options) {
	local := meanOfTold(ps, prominence, o.hops(o.Gate.MinRun)/2)
	music := o.isMusic(ps)
	o.trim(ps, prominence)
	for from, to := range runs(ps) {
		unlike := to-from < o.hops(o.Gate.MinRun) || slices.Max(local[from:to]) < float64(o.Gate.PeakProminence) || o.isBroken(prominence[from:to]) || music
		for i := from; i < to; i++ {
			if unlike || local[i] < float64(o.Gate.MinProminence) {
				ps[i] = Point{At: ps[i].At}
			}
		}
	}
}

// trim clears the ends of runs that move and are not clear: where an engine is lost in
// noise, a sweep to anywhere has as much evidence as any other reading.
func (o Options) trim(ps []Point, prominence []float64) {
	rates, local := chirpRates(ps, o.Hop), meanOfTold(ps, prominence, reach/2)
	frays := func(i int) bool {
		return math.Abs(rates[i]) > o.Refine.MovingFrom && local[i] < float64(o.Gate.MinProminence)
	}
	for from, to := range runs(ps) {
		for ; from < to && frays(from); from++ {
			ps[from] = Point{At: ps[from].At}
		}
		for ; from < to && frays(to-1); to-- {
			ps[to-1] = Point{At: ps[to-1].At}
		}
	}
}

// isBroken reports whether no part of a run is prominent throughout: whether a tenth of
// every part is not, as in speech, whose lines are gone between the vowels.
func (o Options) isBroken(prominence []float64) bool {
	const breaks = 0.1 // quantile of the prominence
	n := min(len(prominence), o.hops(o.Gate.MinRun))
	for from := 0; from+n <= len(prominence); from += max(1, n/4) {
		if dsp.Quantile(dsp.Sorted(prominence[from:from+n]), breaks) >= float64(o.Gate.MinProminence) {
			return false
		}
	}
	return true
}

// isMusic reports whether the speed steps from note to note, again and again.
func (o Options) isMusic(ps []Point) bool {
	steps, told := o.noteSteps(ps)
	return steps >= o.Gate.MinSteps && engine.Seconds(told)*o.Hop < o.Gate.MaxStepInterval*engine.Seconds(steps)
}

// noteSteps counts how often the speed steps from one steady value to another, in less
// time than a shaft takes to settle, as music does from note to note, and the points
// with a speed.
func (o Options) noteSteps(ps []Point) (steps, told int) {
	within := o.hops(o.Gate.StepWithin)
	half, still := within/2, within*2/3
	moved := func(i, j int) float64 { return math.Abs(math.Log(float64(ps[j].Speed / ps[i].Speed))) }
	steadyBetween := func(i, j int) bool {
		for k := i; k < j; k++ {
			if moved(k, j) > o.Gate.SteadyWithin {
				return false
			}
		}
		return true
	}
	for from, to := range runs(ps) {
		told += to - from
		for i := from + half + still; i+half+still < to; i++ {
			before, after := i-half, i+half
			if moved(before, after) > o.Refine.Reach && steadyBetween(before-still, before) && steadyBetween(after, after+still) {
				steps++
				i = after + half // past this step
			}
		}
	}
	return steps, told
}

// meanOfTold gives the mean of v over the points with a speed within half points of
// each, and 0 where there is none.
func meanOfTold(ps []Point, v []float64, half int) []float64 {
	sum, n := make([]float64, len(v)+1), make([]int, len(v)+1)
	for i, x := range v {
		sum[i+1], n[i+1] = sum[i], n[i]
		if ps[i].Speed.Told() {
			sum[i+1], n[i+1] = sum[i]+x, n[i]+1
		}
	}
	out := make([]float64, len(v))
	for i := range v {
		lo, hi := max(0, i-half), min(len(v), i+half+1)
		if k := n[hi] - n[lo]; k > 0 {
			out[i] = (sum[hi] - sum[lo]) / float64(k)
		}
	}
	return out
}

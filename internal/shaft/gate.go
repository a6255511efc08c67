package shaft

import (
	"math"
	"slices"

	"topnote/internal/engine"
)

// gate takes back the speeds of stretches that do not sound like an engine.
// clear is how far the lines of each point stand over what lies between them,
// in decibels. An engine goes on for a while, is clear somewhere without the
// breaks that speech has, and is never quite unclear: a run of points is kept
// when it lasts, when its best second is clear and when it somewhere goes on
// unbroken; and of it only what is not lost in noise. A faint idle that is
// followed without a break into a clear plateau is of the same engine; ends that
// move are trimmed. What goes from note to note is none.
func gate(ps []Point, clear []float64, o Options) {
	half := o.hops(o.ClearOver) / 2
	local := runningMean(ps, clear, half)
	shortest := o.hops(o.ShortestRun)
	music := o.isMusic(ps)
	o.trim(ps, clear)
	for from, to := range runs(ps) {
		unlike := to-from < shortest || slices.Max(local[from:to]) < float64(o.ClearSomewhere) || o.isBroken(clear[from:to]) || music
		for i := from; i < to; i++ {
			if unlike || local[i] < float64(o.MinClear) {
				ps[i] = Point{At: ps[i].At}
			}
		}
	}
}

// trim takes back the ends of runs that move and are not clear: where an engine is
// lost in noise, a sweep to anywhere fits as well as any other reading.
func (o Options) trim(ps []Point, clear []float64) {
	const reach = 2 // points either side
	slope, local := slopes(ps, o.Hop), runningMean(ps, clear, reach)
	frays := func(i int) bool {
		return math.Abs(slope[i]) > o.RefineMoves && local[i] < float64(o.MinClear)
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

// isBroken reports whether no stretch of a run is clear all along: whether the
// lines go in a tenth of the points of every stretch, as those of speech do
// between the vowels.
func (o Options) isBroken(clear []float64) bool {
	const breaks = 10
	n := min(len(clear), o.hops(o.Unbroken))
	for from := 0; from+n <= len(clear); from += max(1, n/4) {
		sorted := slices.Sorted(slices.Values(clear[from : from+n]))
		if sorted[n/breaks] >= float64(o.ClearThroughout) {
			return false
		}
	}
	return true
}

// isMusic reports whether the speed goes from one steady value to another in less
// time than a shaft takes to settle, again and again, as music goes from note to
// note.
func (o Options) isMusic(ps []Point) bool {
	half, still := o.hops(o.StepIn)/2, o.hops(o.StepStill)
	moved := func(i, j int) float64 { return math.Abs(math.Log(float64(ps[j].Speed / ps[i].Speed))) }
	// flat reports whether all points from i to j are of one speed.
	flat := func(i, j int) bool {
		for k := i; k < j; k++ {
			if moved(k, j) > o.StillUnder {
				return false
			}
		}
		return true
	}
	told, steps := 0, 0
	for from, to := range runs(ps) {
		told += to - from
		for i := from + half + still; i+half+still < to; i++ {
			before, after := i-half, i+half
			if moved(before, after) > o.StepOver && flat(before-still, before) && flat(after, after+still) {
				steps++
				i = after + half // past this step
			}
		}
	}
	return steps >= o.MinSteps && engine.Seconds(told)*o.Hop < o.StepEvery*engine.Seconds(steps)
}

// runningMean gives the mean of v over the points with a speed within half
// points of each, and 0 where there is none.
func runningMean(ps []Point, v []float64, half int) []float64 {
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

// Presence says by what measures a stretch of sound is taken for an engine.
type Presence struct {
	ClearLines      int            // lines whose height over the gaps is averaged
	ClearOver       engine.Seconds // time that it is averaged over
	MinClear        engine.Decibel // below this no speed is told
	ClearSomewhere  engine.Decibel // every run reaches this
	ShortestRun     engine.Seconds // of points with a speed
	Unbroken        engine.Seconds // somewhere every run goes on for so long (or is shorter)
	ClearThroughout engine.Decibel // with nine points of ten this clear
	StepOver        float64        // of ln speed: what is more, within StepIn, is a step
	StepIn          engine.Seconds
	StepStill       engine.Seconds // before and after a step, over which the speed
	StillUnder      float64        // keeps within this, of ln speed
	MinSteps        int            // so many steps are music,
	StepEvery       engine.Seconds // when there is one in this time; recordings of engines have none
}

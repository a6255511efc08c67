package shaft

import "topnote/internal/unit"

// hush takes back the speeds of stretches that do not sound like an engine.
// clear is how far the lines of each point stand over what lies between them,
// in decibels. An engine goes on for a while, is clear somewhere, and is never
// quite unclear: a run of points is kept when it lasts, when its best second
// is clear, and of it only what is not lost in noise.
func hush(ps []Point, clear []float64, o Options) {
	half := int(o.ClearOver/o.Hop) / 2
	local := runningMean(ps, clear, half)
	for i := range ps {
		if ps[i].Speed.Told() && local[i] < float64(o.ClearLeast) {
			ps[i] = Point{At: ps[i].At}
		}
	}
	shortest := int(o.ShortestRun / o.Hop)
	eachRun(ps, func(from, to int) {
		best := 0.0
		for _, v := range local[from:to] {
			best = max(best, v)
		}
		if to-from < shortest || best < float64(o.ClearSomewhere) {
			for i := from; i < to; i++ {
				ps[i] = Point{At: ps[i].At}
			}
		}
	})
}

// eachRun calls do with the bounds of every unbroken run of points with a
// speed: from is the first, to one past the last.
func eachRun(ps []Point, do func(from, to int)) {
	for i := 0; i < len(ps); i++ {
		if !ps[i].Speed.Told() {
			continue
		}
		from := i
		for i < len(ps) && ps[i].Speed.Told() {
			i++
		}
		do(from, i)
	}
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
	ClearLines     int          // lines whose height over the gaps is averaged
	ClearOver      unit.Seconds // time that it is averaged over
	ClearLeast     unit.Decibel // below this no speed is told
	ClearSomewhere unit.Decibel // every run reaches this
	ShortestRun    unit.Seconds // of points with a speed
}

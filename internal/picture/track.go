package picture

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// most is how many steps of time a picture shows; more would be finer than its
// dots. A longer track is gathered into as many.
const most = 1500

// reading is the speed over one step of time, as it is drawn.
type reading struct {
	t, rpm    float64
	low, high float64 // the band of two standard deviations
	fires     int     // 0: not told
}

// gather gives the told readings of a track in runs without a gap, at most
// `most` of them in all. A reading that stands for several points has their
// mean speed, a band that holds all their bands, and their commonest firing.
func gather(track []report.Point) [][]reading {
	every := (len(track) + most - 1) / most
	var runs [][]reading
	var run []reading
	end := func() {
		if len(run) > 0 {
			runs = append(runs, run)
			run = nil
		}
	}
	for i := 0; i < len(track); i += every {
		r, told := together(track[i:min(i+every, len(track))])
		if !told {
			end()
			continue
		}
		run = append(run, r)
	}
	end()
	return runs
}

// together makes one reading of a few points in a row; false when none of them
// has a speed.
func together(points []report.Point) (reading, bool) {
	r := reading{low: math.Inf(1)}
	var n float64
	var votes [len(firingWords)]int
	for _, p := range points {
		if !p.RPM.Told() {
			continue
		}
		n++
		r.t += p.TimeS
		r.rpm += float64(p.RPM)
		r.low = math.Min(r.low, float64(p.RPM)-engine.CoverageFactor*p.SDRPM)
		r.high = math.Max(r.high, float64(p.RPM)+engine.CoverageFactor*p.SDRPM)
		votes[p.FiresEveryRev]++
	}
	if n == 0 {
		return reading{}, false
	}
	r.t /= n
	r.rpm /= n
	r.low = math.Max(0, r.low)
	for fires, v := range votes {
		if v > votes[r.fires] {
			r.fires = fires
		}
	}
	return r, true
}

// stretch is a time over which the engine fires every Nth working cycle.
type stretch struct {
	from, to float64
	fires    int
	run      []reading
}

// stretches cuts runs where the firing changes; where it is not told there is
// no stretch. Each reaches half a step beyond its outer readings.
func stretches(runs [][]reading, halfStep float64) []stretch {
	var all []stretch
	for _, run := range runs {
		for i := 0; i < len(run); {
			j := i
			for j < len(run) && run[j].fires == run[i].fires {
				j++
			}
			if run[i].fires > 0 {
				all = append(all, stretch{
					from: run[i].t - halfStep, to: run[j-1].t + halfStep,
					fires: run[i].fires, run: run[i:j],
				})
			}
			i = j
		}
	}
	return all
}

// halfStep is half the time between two readings of gather.
func halfStep(track []report.Point) float64 {
	if len(track) < 2 {
		return 0
	}
	span := track[len(track)-1].TimeS - track[0].TimeS
	return span / float64(min(most, len(track)-1)) / 2
}

// highest gives the highest speed that the picture must have room for.
func highest(r report.Report, runs [][]reading) float64 {
	top := float64(r.Limits.MaxRPM)
	for _, run := range runs {
		for _, p := range run {
			top = math.Max(top, p.rpm)
		}
	}
	return top
}

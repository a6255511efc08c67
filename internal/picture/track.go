package picture

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// maxPoints is how many steps of time a picture shows; more would be finer than its
// dots. A longer track is gathered into as many.
const maxPoints = 1500

// drawnPoint is the speed over one step of time, as it is drawn.
type drawnPoint struct {
	t, rpm    float64
	low, high float64 // the band of two standard deviations
	fires     int     // 0: not told
}

// trackRuns gives the told readings of a track in runs without a gap, at most
// `most` of them in all. A reading that stands for several points has their
// mean speed, a band that holds all their bands, and their commonest firing.
func trackRuns(track []report.Point) [][]drawnPoint {
	every := (len(track) + maxPoints - 1) / maxPoints
	var runs [][]drawnPoint
	var run []drawnPoint
	end := func() {
		if len(run) > 0 {
			runs = append(runs, run)
			run = nil
		}
	}
	for i := 0; i < len(track); i += every {
		r, told := averagePoint(track[i:min(i+every, len(track))])
		if !told {
			end()
			continue
		}
		run = append(run, r)
	}
	end()
	return runs
}

// averagePoint makes one reading of a few points in a row; false when none of them
// has a speed.
func averagePoint(points []report.Point) (drawnPoint, bool) {
	r := drawnPoint{low: math.Inf(1)}
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
		return drawnPoint{}, false
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

// firingSegment is a time over which the engine fires every Nth working cycle.
type firingSegment struct {
	from, to float64
	fires    int
	run      []drawnPoint
}

// firingSegments cuts runs where the firing changes; where it is not told there is
// no stretch. Each reaches half a step beyond its outer readings.
func firingSegments(runs [][]drawnPoint, halfStep float64) []firingSegment {
	var all []firingSegment
	for _, run := range runs {
		for i := 0; i < len(run); {
			j := i
			for j < len(run) && run[j].fires == run[i].fires {
				j++
			}
			if run[i].fires > 0 {
				all = append(all, firingSegment{
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
	return span / float64(min(maxPoints, len(track)-1)) / 2
}

// highestSpeed gives the highest speed that the picture must have room for.
func highestSpeed(r report.Report, runs [][]drawnPoint) float64 {
	top := float64(r.Limits.MaxRPM)
	for _, run := range runs {
		for _, p := range run {
			top = math.Max(top, p.rpm)
		}
	}
	return top
}

package picture

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// maxPoints is the most points of a track that are drawn; more would be finer than
// the pixels. A longer track is averaged down to it.
const maxPoints = 1500

// drawnPoint is a point of the track as it is drawn.
type drawnPoint struct {
	t, rpm    float64
	low, high float64 // of the coverage band (95 %)
	fires     int     // 0: not told
}

// trackRuns gives the points of a track that have a speed, in runs without a gap,
// at most maxPoints in all. An averaged point has the mean speed of its points, a
// band that contains all of theirs, and their most frequent firing period.
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

// averagePoint averages consecutive points; false when none of them has a speed.
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

// firingSegment is a segment in which the engine fires every nth working cycle.
type firingSegment struct {
	from, to float64
	fires    int
	run      []drawnPoint
}

// firingSegments splits runs where the firing changes; there is none where it is
// not told. Each reaches half a step beyond its first and last point.
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

// halfStep is half the time between two points of trackRuns.
func halfStep(track []report.Point) float64 {
	if len(track) < 2 {
		return 0
	}
	span := track[len(track)-1].TimeS - track[0].TimeS
	return span / float64(min(maxPoints, len(track)-1)) / 2
}

// highestSpeed gives the highest speed drawn, the limit included.
func highestSpeed(r report.Report, runs [][]drawnPoint) float64 {
	top := float64(ceilingOf(r))
	for _, run := range runs {
		for _, p := range run {
			top = math.Max(top, p.rpm)
		}
	}
	return top
}

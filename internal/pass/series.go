package pass

import (
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// series is a track that has been cleaned.
type series struct {
	points  []shaft.Point // strictly rising At; Speed 0 where none was told or the reading was wrong
	smooth  []float64     // running median with short gaps bridged, rpm; 0 where nothing is known
	hop     float64       // seconds between points
	shareSD float64       // shaft.Track.FiringShareSD
	jumps   []int         // points just after a change too fast for a shaft that no short outlier explains
}

// span is a half-open range of points.
type span struct{ a, b int }

// count gives the number of points in a time, at least 1 and no more than
// there are.
func (s *series) count(d engine.Seconds) int {
	n := math.Round(float64(d) / s.hop)
	return int(max(1, min(n, float64(len(s.points)+1))))
}

// at gives the time at which the hop of point i begins; one past the last gives
// the end of the last.
func (s *series) at(i int) engine.Seconds {
	if i < len(s.points) {
		return s.points[i].At
	}
	if len(s.points) == 0 {
		return 0
	}
	return s.points[len(s.points)-1].At + engine.Seconds(s.hop)
}

// length gives how long a span lasts, to the microsecond, so that the same number
// of points lasts as long everywhere in the clip.
func (s *series) length(r span) engine.Seconds {
	const perSecond = 1e6
	return engine.Seconds(math.Round(float64(s.at(r.b)-s.at(r.a))*perSecond) / perSecond)
}

// told gives the speeds that were told in a span, in order of time.
func (s *series) told(r span) []float64 {
	var x []float64
	for _, p := range s.points[r.a:r.b] {
		if p.Speed.Told() {
			x = append(x, float64(p.Speed))
		}
	}
	return x
}

// level gives the median of the smooth speed in a span, known points only.
func (s *series) level(r span) float64 {
	var x []float64
	for _, v := range s.smooth[r.a:r.b] {
		if v > 0 {
			x = append(x, v)
		}
	}
	return dsp.Median(x)
}

// baseShare of the points of a slow span are below what is taken for its idle: a
// quarter, so that a speed that hangs for most of the span is not taken for the
// settled one.
const baseShare = 0.25

// settledLevel gives the settled speed of a slow span.
func (s *series) settledLevel(r span) float64 {
	return dsp.Quantile(dsp.Sorted(s.smooth[r.a:r.b]), baseShare)
}

// lowestIdle gives the lowest settled speed of the idles that last for long enough;
// 0 where there is none.
func (s *series) lowestIdle(all []segment, least engine.Seconds) float64 {
	var low float64
	for _, x := range all {
		if !x.isSlow() || s.length(x.span) < least {
			continue
		}
		if base := s.settledLevel(x.span); low == 0 || base < low {
			low = base
		}
	}
	return low
}

// clean takes out numbers that are none, points out of order, and readings that
// go away and come back faster than a shaft can. Then it bridges short gaps and
// smooths.
func clean(t shaft.Track, o Options) *series {
	s := &series{points: valid(t.Points), shareSD: t.FiringShareSD}
	s.hop = hopOf(t.Hop, s.points)
	s.fillHoles(o)
	s.dropOutliers(o)
	s.bridge(o)
	s.smoothOut(s.count(o.SmoothFor))
	s.dropSnippets(o)
	return s
}

// maxSpeed is above any speed that a tracker could mean; it keeps sums of
// speeds finite. It is no limit of an engine.
const maxSpeed = 1e6

func valid(points []shaft.Point) []shaft.Point {
	out := make([]shaft.Point, 0, len(points))
	last := math.Inf(-1)
	for _, p := range points {
		if at := float64(p.At); math.IsNaN(at) || math.IsInf(at, 0) || at <= last {
			continue
		}
		last = float64(p.At)
		if !(p.Speed >= 1 && p.Speed < maxSpeed) {
			p.Speed, p.Fires = 0, 0
		}
		if !(p.SD >= 0 && p.SD < maxSpeed) {
			p.SD = p.Speed // a deviation that is no number: nothing is known
		}
		if !(p.Alternative >= 1 && p.Alternative < maxSpeed) || !(p.AlternativeShare > 0 && p.AlternativeShare <= 1) {
			p.Alternative, p.AlternativeShare = 0, 0
		}
		out = append(out, p)
	}
	return out
}

// hopUnknown is the hop, in seconds, of a track too short to show one.
const hopUnknown = 0.02

func hopOf(hop engine.Seconds, points []shaft.Point) float64 {
	if h := float64(hop); h > 0 && !math.IsInf(h, 0) {
		return h
	}
	var steps []float64
	for i := 1; i < len(points); i++ {
		steps = append(steps, float64(points[i].At-points[i-1].At))
	}
	if h := dsp.Median(steps); h > 0 && !math.IsInf(h, 0) {
		return h
	}
	return hopUnknown
}

// fillHoles puts points without a speed where the track has none at all, so that
// points that are neighbours are neighbours in time. Of a hole longer than
// SilenceFor only so much is filled: it is a stopped engine in any case.
func (s *series) fillHoles(o Options) {
	first := 1 // point after the first hole
	for first < len(s.points) && !s.misses(s.points[first-1].At, 1, s.points[first].At) {
		first++
	}
	if first >= len(s.points) {
		return // none, as in every track of this program: no copy is made
	}
	out := slices.Clone(s.points[:first])
	most := s.count(o.SilenceFor)
	for _, p := range s.points[first:] {
		last := out[len(out)-1].At
		for k := 1; k <= most && s.misses(last, k, p.At); k++ {
			at := last + engine.Seconds(float64(k)*s.hop)
			if at > out[len(out)-1].At { // else the hop is lost in the rounding
				out = append(out, shaft.Point{At: at})
			}
		}
		out = append(out, p)
	}
	s.points = out
}

// misses reports whether there should be a point k hops after one, before the next.
func (s *series) misses(one engine.Seconds, k int, next engine.Seconds) bool {
	return float64(next-one) > (float64(k)+0.5)*s.hop
}

// dropOutliers takes out short runs of readings that the shaft could not have
// reached from the readings before them, nor have left to those after. A speed
// doubled or halved by mistake for a few frames is such a run; a blip of the
// throttle is not, because a shaft can follow it.
func (s *series) dropOutliers(o Options) {
	runs := s.runs(o)
	kept := span{-1, -1} // the last run that was kept
	for i, r := range runs {
		before := kept.a >= 0 && s.slewViolations(kept, r, o)
		after := i+1 < len(runs) && s.slewViolations(r, runs[i+1], o)
		back := kept.a >= 0 && i+1 < len(runs) && !s.slewViolations(kept, runs[i+1], o)
		if s.length(r) < o.HeldFor && (before || after) && (back || !(before && after)) {
			for j := r.a; j < r.b; j++ {
				s.points[j].Speed, s.points[j].Fires, s.points[j].Alternative = 0, 0, 0
			}
			continue
		}
		if before {
			s.jumps = append(s.jumps, r.a)
		}
		kept = r
	}
}

// runs gives the spans within which a shaft can go from each reading to the next.
// Each begins and ends with a told point.
func (s *series) runs(o Options) []span {
	var runs []span
	last := -1
	for i, p := range s.points {
		if !p.Speed.Told() {
			continue
		}
		if last >= 0 && s.length(span{last, i}) <= o.HeldFor && s.reachable(last, i, o) {
			runs[len(runs)-1].b = i + 1
		} else {
			runs = append(runs, span{i, i + 1})
		}
		last = i
	}
	return runs
}

// slewViolations reports whether the shaft cannot have gone from the end of one run to
// the beginning of another.
func (s *series) slewViolations(from, to span, o Options) bool {
	return !s.reachable(from.b-1, to.a, o)
}

// reachable reports whether a shaft can get from the speed at i to that at j.
func (s *series) reachable(i, j int, o Options) bool {
	p, q := s.points[i], s.points[j]
	change := math.Abs(math.Log(float64(q.Speed / p.Speed)))
	return change <= o.MaxSlew*float64(q.At-p.At)+2*o.AlternativeCluster
}

// bridge fills smooth with the told speeds and carries it over gaps of up to
// HeldFor, evenly in the log of speed. A gap with a jump in it is not bridged.
func (s *series) bridge(o Options) {
	s.smooth = make([]float64, len(s.points))
	last := -1
	for i, p := range s.points {
		if !p.Speed.Told() {
			continue
		}
		s.smooth[i] = float64(p.Speed)
		if last >= 0 && s.length(span{last, i}) <= o.HeldFor && s.reachable(last, i, o) {
			from, ratio := s.smooth[last], float64(p.Speed)/s.smooth[last]
			for j := last + 1; j < i; j++ {
				f := float64(s.points[j].At-s.points[last].At) / float64(p.At-s.points[last].At)
				s.smooth[j] = from * math.Pow(ratio, f)
			}
		}
		last = i
	}
}

// smoothOut replaces smooth by its running median, which takes no reading from
// beyond a gap or a jump, and as many on either side, so that a steady climb is
// not shifted.
func (s *series) smoothOut(width int) {
	out := make([]float64, len(s.smooth))
	for _, r := range s.knownSpans() {
		for i := r.a; i < r.b; i++ {
			half := min(width/2, i-r.a, r.b-1-i)
			out[i] = dsp.Median(s.smooth[i-half : i+half+1])
		}
	}
	s.smooth = out
}

// dropSnippets clears spans of known speed that are too short to be an engine.
func (s *series) dropSnippets(o Options) {
	for _, r := range s.knownSpans() {
		if s.length(r) < o.MinPlateau {
			clear(s.smooth[r.a:r.b])
			for i := r.a; i < r.b; i++ {
				s.points[i].Speed, s.points[i].Fires = 0, 0
			}
		}
	}
}

// knownSpans gives the spans in which a speed is known, parted at jumps: on one
// side of a jump the readings are wrong, so nothing is measured across it.
func (s *series) knownSpans() []span {
	var out []span
	for _, r := range s.spansWhere(span{0, len(s.smooth)}, func(i int) bool { return s.smooth[i] > 0 }) {
		for _, i := range s.jumps {
			if r.a < i && i < r.b {
				out = append(out, span{r.a, i})
				r.a = i
			}
		}
		out = append(out, r)
	}
	return out
}

// jumpsWithin reports whether there is a jump inside a span.
func (s *series) jumpsWithin(r span) bool {
	return slices.ContainsFunc(s.jumps, func(i int) bool { return r.a < i && i < r.b })
}

// spansWhere gives the longest parts of a span at all of whose points f holds.
func (s *series) spansWhere(r span, f func(i int) bool) []span {
	var out []span
	for i := r.a; i < r.b; i++ {
		if !f(i) {
			continue
		}
		if n := len(out); n > 0 && out[n-1].b == i {
			out[n-1].b = i + 1
		} else {
			out = append(out, span{i, i + 1})
		}
	}
	return out
}

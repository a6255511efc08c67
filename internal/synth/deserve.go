package synth

import (
	"slices"

	"topnote/internal/engine"
)

// Codes of the verdict, as design.md spells them.
const (
	overLimit       = "over-limit"
	atLimit         = "at-limit"
	cleanBelowLimit = "clean-below-limit"
	sparkLimited    = "spark-limited"
	richInCut       = "rich-in-cut"
	fourStroking    = "four-stroking"
	notEnough       = "not-enough"
)

// Deserved is the verdict that a run deserves from a judge who knows its
// truth, and those that cannot be called wrong because the truth lies close to
// a line between two.
type Deserved struct {
	Code   string
	Allows []string // Code among them

	Sustained     engine.RPM // highest mean over SustainedFor
	FourStroking  float64    // share of the no-load plateau's cycles in a pattern of 2 or more; -1: no plateau
	InTheCut      float64    // the same in the cut; -1: not heard
	SparksCut     float64    // share of the no-load plateau within a tenth of a second of a lost spark
	OverLimitTrue bool       // Sustained is above the limit: nothing safer than at-limit may be said
}

// Lines between verdicts, and how close to a line both sides are allowed (our
// reading of the table in design.md).
const (
	nearLimit   = 0.01                 // of the limit, either side
	mostly      = 0.5                  // share of four-stroking above which a plateau four-strokes
	nearMostly  = 0.25                 // either side of it
	farUnder    = 0.85                 // of the limit: below it four-stroking is too rich in any case
	nearFar     = 0.09                 // either side of it
	cutsHeard   = 0.3                  // share of the plateau with lost sparks
	nearCuts    = 0.28                 // either side of it
	minPlateau  = engine.Seconds(1)    // design.md: no plateau of 1 s is not enough
	nearPlateau = engine.Seconds(0.5)  // either side of it
	settleFor   = engine.Seconds(0.4)  // at the start of a stretch that is not judged
	minCut      = engine.Seconds(1)    // in the wood, to be judged
	cutClose    = engine.Seconds(0.1)  // to a lost spark
	lookEvery   = engine.Seconds(0.01) // step of looking along the plateau
)

// Deserve judges a run of a two-stroke by its truth.
func Deserve(r *Run, limits Limits) Deserved {
	d := Deserved{Sustained: r.Held(SustainedFor)}
	d.OverLimitTrue = d.Sustained > limits.Max
	free := r.settled(FullThrottle)
	d.FourStroking = r.burbling(free, minPlateau-settleFor-nearPlateau)
	d.InTheCut = r.burbling(r.settled(InCut), minCut-settleFor)
	d.SparksCut = r.sparksCut(free)
	d.Code = d.code(limits.Max, long(free))
	d.Allows = d.allows(limits.Max, long(free))
	return d
}

// settled gives the spans of a name without their first moments.
func (r *Run) settled(name string) []Span {
	var out []Span
	for _, s := range r.Spans {
		if s.Name == name && s.To-s.From > settleFor {
			out = append(out, Span{name, s.From + settleFor, s.To})
		}
	}
	return out
}

// long gives the length of the longest span.
func long(spans []Span) engine.Seconds {
	var most engine.Seconds
	for _, s := range spans {
		most = max(most, s.To-s.From)
	}
	return most
}

// burbling gives the share of working cycles that are in a pattern of every
// 2nd or rarer; -1 where no span is as long as least.
func (r *Run) burbling(spans []Span, least engine.Seconds) float64 {
	if long(spans) < least {
		return -1
	}
	have, all := 0, 0
	for _, s := range spans {
		for _, b := range r.Burns {
			if b.At >= s.From && b.At < s.To {
				all++
				if b.Every > 1 {
					have++
				}
			}
		}
	}
	return float64(have) / float64(max(all, 1))
}

// sparksCut gives the share of time close to a lost spark.
func (r *Run) sparksCut(spans []Span) float64 {
	near, all := 0, 0
	for _, s := range spans {
		for t := s.From; t < s.To; t += lookEvery {
			all++
			if r.CutAt(t, cutClose) {
				near++
			}
		}
	}
	return float64(near) / float64(max(all, 1))
}

func (d Deserved) code(limit engine.RPM, plateau engine.Seconds) string {
	switch {
	case d.OverLimitTrue:
		return overLimit
	case plateau < minPlateau-settleFor:
		return notEnough
	}
	return d.mixture(limit)
}

// mixture gives the verdict on a plateau that is long enough and under the
// limit.
func (d Deserved) mixture(limit engine.RPM) string {
	switch {
	case d.SparksCut > cutsHeard:
		return sparkLimited
	case d.FourStroking < mostly:
		return cleanBelowLimit
	case d.InTheCut > mostly || d.Sustained < limit*farUnder:
		return richInCut
	}
	return fourStroking
}

// allows lists the code itself and its neighbours across every line that is
// near.
func (d Deserved) allows(limit engine.RPM, plateau engine.Seconds) []string {
	codes := []string{d.Code}
	allow := func(when bool, more ...string) {
		if !when {
			return
		}
		for _, c := range more {
			if !slices.Contains(codes, c) {
				codes = append(codes, c)
			}
		}
	}
	share := float64(d.Sustained / limit)
	allow(near(share, 1, nearLimit), atLimit)
	if d.OverLimitTrue {
		return codes
	}
	least := minPlateau - settleFor
	allow(plateau < least+nearPlateau, notEnough)
	if plateau < least-nearPlateau {
		return codes
	}
	allow(true, d.mixture(limit))
	allow(near(d.SparksCut, cutsHeard, nearCuts), sparkLimited, fourStroking, cleanBelowLimit)
	if d.SparksCut > cutsHeard {
		// The coil cuts now and then, but most cycles miss for being rich.
		allow(d.FourStroking > mostly, fourStroking)
		return codes
	}
	allow(near(d.FourStroking, mostly, nearMostly), fourStroking, cleanBelowLimit)
	burbles := d.FourStroking > mostly-nearMostly
	allow(burbles && near(d.InTheCut, mostly, nearMostly), fourStroking, richInCut)
	allow(burbles && near(share, farUnder, nearFar), fourStroking, richInCut)
	return codes
}

// near tells whether x lies within a distance of a line.
func near(x, line, within float64) bool { return x > line-within && x < line+within }

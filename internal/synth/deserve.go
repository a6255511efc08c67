package synth

import (
	"slices"

	"topnote/internal/engine"
)

// Codes of the verdict, as in design.md.
const (
	overLimit       = "over-limit"
	atLimit         = "at-limit"
	cleanBelowLimit = "clean-below-limit"
	sparkLimited    = "spark-limited"
	richInCut       = "rich-in-cut"
	fourStroking    = "four-stroking"
	notEnough       = "not-enough"
)

// Deserved is the right verdict for the truth of a run, and every further code that
// is true of it as well; Deserve says why there can be more than one.
type Deserved struct {
	Code   string
	Allows []string // Code first

	Sustained     engine.RPM // highest mean speed over SustainedFor
	FourStroking  float64    // 0 to 1: share of the working cycles of the no-load plateau in a pattern of 2 or more; -1: no plateau
	Leanest       float64    // the same of the part of the plateau with the least of it; -1: no plateau
	InTheCut      float64    // the same in the cut; -1: no cut
	SparksCut     float64    // 0 to 1: share of the plateau within cutClose of a lost spark
	OverLimitTrue bool       // Sustained is above the limit: nothing safer than at-limit is true
}

// The boundaries between the verdicts, and the uncertainty that the design allows a
// measurement. Of the program's figures they repeat only those in docs/verdicts.md.
const (
	mostly    = 0.5  // design.md: four-strokes for most of the plateau
	mostlyMax = 0.7  // docs/verdicts.md puts the line at 0.6, since an edge counts as lean, and its share errs by 0.1 (verdict.Options.ShareSD)
	farUnder  = 0.8  // of the limit; docs/verdicts.md: slower than four fifths of it is too rich
	speedErr  = 0.01 // of the limit: two standard deviations of a sustained speed (docs/verdicts.md: 0.25 % for the clock, and the readings)

	minPlateau   = engine.Seconds(1)    // design.md: no plateau of 1 s is not enough
	plateauErr   = engine.Seconds(0.2)  // where its two ends are found, 0.1 s each (TestPhaseTimes of package pass)
	settleFor    = engine.Seconds(0.4)  // at the start of a span, which is not judged
	minCut       = engine.Seconds(1)    // in the wood, to be judged
	cutClose     = engine.Seconds(0.1)  // to a lost spark
	briefFor     = engine.Seconds(0.2)  // docs/verdicts.md: at-limit when the limit was passed for as long
	sampleEvery  = engine.Seconds(0.01) // of the plateau, for SparksCut
	pinnedMostly = 0.5                  // SparksCut above which the coil holds the plateau
)

// Deserve gives the right verdict for a run of a two-stroke.
func Deserve(r *Run, limits Limits) Deserved {
	free, wood := r.settled(FullThrottle), r.settled(InCut)
	d := Deserved{Sustained: r.Sustained(SustainedFor), FourStroking: -1, Leanest: -1, InTheCut: -1}
	d.OverLimitTrue = d.Sustained > limits.Max
	plateau := longest(free) + settleFor
	if plateau >= minPlateau-plateauErr {
		d.FourStroking, d.Leanest = r.fourStroking(free), r.leanest(free)
	}
	if longest(wood)+settleFor >= minCut {
		d.InTheCut = r.fourStroking(wood)
	}
	d.SparksCut = r.sparksCut(free)
	d.Allows = d.supported(limits.Max, plateau, r.Sustained(briefFor), r.pinnedAtTop())
	d.Code = d.Allows[0]
	return d
}

// settled gives the spans of a name without their first settleFor.
func (r *Run) settled(name string) []Span {
	var out []Span
	for _, s := range r.Spans {
		if s.Name == name && s.To-s.From > settleFor {
			out = append(out, Span{name, s.From + settleFor, s.To})
		}
	}
	return out
}

// longest gives the length of the longest span; 0 for none.
func longest(spans []Span) engine.Seconds {
	var length engine.Seconds
	for _, s := range spans {
		length = max(length, s.To-s.From)
	}
	return length
}

// fourStroking gives the share of working cycles that are in a pattern of every
// 2nd or rarer.
func (r *Run) fourStroking(spans []Span) float64 {
	have, all := 0, 0
	for _, s := range spans {
		for _, b := range r.Cycles {
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

// leanest gives the share of the span with the least four-stroking among those
// that are long enough to be judged alone.
func (r *Run) leanest(spans []Span) float64 {
	least := 1.0
	for _, s := range spans {
		if s.To-s.From+settleFor >= minPlateau-plateauErr {
			least = min(least, r.fourStroking([]Span{s}))
		}
	}
	return least
}

// sparksCut gives the share of time within cutClose of a lost spark.
func (r *Run) sparksCut(spans []Span) float64 {
	near, all := 0, 0
	for _, s := range spans {
		for t := s.From; t < s.To; t += sampleEvery {
			all++
			if r.CutAt(t, cutClose) {
				near++
			}
		}
	}
	return float64(near) / float64(max(all, 1))
}

// pinnedAtTop reports whether the coil cuts sparks all through some half second
// without load: the top speed is then its ceiling.
func (r *Run) pinnedAtTop() bool {
	for _, s := range r.settled(FullThrottle) {
		from := s.From
		for t := s.From; t < s.To; t += sampleEvery {
			if !r.CutAt(t, cutClose) {
				from = t + sampleEvery
			}
			if t-from >= SustainedFor {
				return true
			}
		}
	}
	return false
}

// supported lists the codes whose claims are true, the right one first. brief is
// the highest speed held for briefFor.
func (d Deserved) supported(limit engine.RPM, plateau engine.Seconds, brief engine.RPM, pinned bool) []string {
	var codes []string
	add := func(when bool, code string) {
		if when && !slices.Contains(codes, code) {
			codes = append(codes, code)
		}
	}
	share := float64(d.Sustained / limit)
	near := share > 1-speedErr && share < 1+speedErr
	if d.OverLimitTrue {
		add(true, overLimit)
		add(near, atLimit) // the limit is within the uncertainty
		return codes
	}
	add(plateau < minPlateau, notEnough)
	if plateau >= minPlateau-plateauErr {
		for _, code := range d.mixture(share, pinned) {
			add(true, code)
		}
	}
	// Its ends cannot be found to better than plateauErr.
	add(plateau < minPlateau+plateauErr, notEnough)
	add(near || brief > limit, atLimit)
	return codes
}

// mixture lists what is true of a plateau that is long enough and under the
// limit; share is the sustained speed as a share of the limit.
//
// Two codes can be true at once. Where the coil holds the top speed for a part of
// the plateau only, or holds an engine that is rich all the same, what it does and
// what the mixture does are both true. Between half and mostlyMax the plateau
// four-strokes for most of the time, and it is an edge that counts as lean. Never
// the other way round: under half, nothing that calls the engine safe is true.
func (d Deserved) mixture(share float64, pinned bool) []string {
	var codes []string
	if d.SparksCut > pinnedMostly {
		codes = append(codes, sparkLimited)
	}
	switch {
	case d.FourStroking > mostly:
		codes = append(codes, d.rich(share)...)
		if d.Leanest < mostlyMax {
			codes = append(codes, cleanBelowLimit)
		}
	case d.SparksCut <= pinnedMostly:
		codes = append(codes, cleanBelowLimit)
		if share < farUnder { // running clean without load it would race: it was not free
			codes = append(codes, notEnough)
		}
	}
	if pinned {
		codes = append(codes, sparkLimited)
	}
	return codes
}

// rich separates proper four-stroking from too much of it. Near the boundary both
// are true; just above it in the cut, a mixture at the edge is not yet rich.
func (d Deserved) rich(share float64) []string {
	switch far := farUnder * (1 - speedErr); {
	case d.InTheCut > mostlyMax, share < far:
		return []string{richInCut}
	case d.InTheCut > mostly, share < farUnder:
		return []string{richInCut, fourStroking}
	case share < farUnder*(1+speedErr):
		return []string{fourStroking, richInCut}
	}
	return []string{fourStroking}
}

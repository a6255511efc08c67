package diagnose

import (
	"cmp"
	"math"
	"slices"

	"topnote/internal/engine"
)

// Ranked is one cause with its evidence.
type Ranked struct {
	Cause   Cause    `json:"cause"`
	Name    string   `json:"name"`
	Belief  float64  `json:"belief"` // 0 to 1; with two causes at once they add up to more than 1
	For     []string `json:"for"`
	Against []string `json:"against"`
	Mixture string   `json:"mixture_goes"`
	Screws  string   `json:"screws_would_go"`
	Next    string   `json:"next"`
}

// finding is a sign that could be looked for, and how far it is seen.
type finding struct {
	*sign
	belief float64
}

// evaluate goes through the table of signs.
func (p *pair) evaluate() []finding {
	var found []finding
	for i := range signTable {
		if s := signTable[i].look(p); s.told {
			found = append(found, finding{&signTable[i], s.belief})
		}
	}
	return found
}

// likelihood gives how likely what is seen of a sign is when it is seen in a
// share of such cases.
//
// Source: Jeffrey's rule for evidence that is itself uncertain.
func (f finding) likelihood(share float64) float64 {
	return f.belief*share + (1-f.belief)*(1-share)
}

// share gives the share of cases with two causes at once in which a sign is
// seen: when either shows it. Of leaner and richer, two causes that pull apart
// show whichever is stronger.
func (s *sign) share(a, b int) float64 {
	const per = 100
	pa, pb := s.per100[a]/per, s.per100[b]/per
	if (s.code == codeLeaner || s.code == codeRicher) && math.Abs(pa-pb) > 0.5 {
		return (pa + pb) / 2
	}
	return 1 - (1-pa)*(1-pb)
}

// Signs that go together: the two sides of the mixture, and the two ways in
// which it comes about.
const (
	codeLeaner = "leaner"
	codeRicher = "richer"
	codeSlowly = "slowly"
	codeAtOnce = "at-once"
)

// beliefs gives the belief in each cause: every cause alone and every two at
// once are weighed by Bayes' rule, the signs taken as independent, and a cause
// gets the belief in all that it is part of. "Nothing else" is never one of two.
func beliefs(found []finding, o Options) [numCauses]float64 {
	var belief [numCauses]float64
	total := 0.0
	for a := range numCauses {
		for b := a; b < numCauses; b++ {
			if a != b && causes[a] == CauseNone {
				continue
			}
			const per = 100
			weight := priors[a] / per
			if a != b {
				weight *= o.PairPrior * priors[b] / per
			}
			for _, f := range found {
				share := f.per100[a] / per
				if a != b {
					share = f.share(a, b)
				}
				weight *= f.likelihood(share)
			}
			total += weight
			belief[a] += weight
			if a != b {
				belief[b] += weight
			}
		}
	}
	for i := range belief {
		belief[i] /= total // above 0: no share is 0 or 1
	}
	return belief
}

// rank orders the causes by belief and puts the evidence beside each.
func (p *pair) rank() []Ranked {
	found := p.evaluate()
	belief := beliefs(found, p.opt)
	ranked := make([]Ranked, 0, numCauses)
	for i, c := range causes {
		a := adviceOf(c)
		r := Ranked{Cause: c, Name: a.name, Belief: belief[i], Mixture: a.mixture, Screws: a.screws, Next: a.next}
		r.For, r.Against = p.evidence(found, i)
		if c == CauseNone && p.comparable && math.Abs(p.rest.v) < engine.CoverageFactor*p.rest.sd {
			r.For = append([]string{saysNothingLeft(p)}, r.For...)
		}
		ranked = append(ranked, r)
	}
	slices.SortStableFunc(ranked, func(a, b Ranked) int { return cmp.Compare(b.Belief, a.Belief) })
	return ranked
}

// evidence says which signs speak for a cause and which against it, the
// strongest first: by how much likelier what is seen is with it than without.
func (p *pair) evidence(found []finding, cause int) (speaksFor, against []string) {
	speaksFor, against = []string{}, []string{}
	weights := make([]float64, len(found))
	order := make([]int, len(found))
	for i, f := range found {
		weights[i], order[i] = f.weight(cause), i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(math.Abs(weights[b]), math.Abs(weights[a])) })
	for _, i := range order {
		if course := found[i].code == codeSlowly || found[i].code == codeAtOnce; course && found[i].belief < evenly {
			continue // the other of the two says it
		}
		words := found[i].not
		if found[i].belief >= evenly {
			words = found[i].says
		}
		switch least := math.Log(p.opt.Speaks); {
		case weights[i] >= least:
			speaksFor = append(speaksFor, words(p))
		case weights[i] <= -least:
			against = append(against, words(p))
		}
	}
	return speaksFor, against
}

// weight gives the natural logarithm of how much likelier what is seen is with a
// cause than with the others.
func (f finding) weight(cause int) float64 {
	others, all := 0.0, 0.0
	for i, prior := range priors {
		if i != cause {
			others += prior * f.likelihood(f.per100[i]/100)
			all += prior
		}
	}
	return math.Log(f.likelihood(f.per100[cause]/100) * all / others)
}

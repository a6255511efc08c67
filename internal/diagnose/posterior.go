package diagnose

import (
	"cmp"
	"math"
	"slices"
)

// RankedCause is one cause with its evidence.
type RankedCause struct {
	Cause       Cause    `json:"cause"`
	Name        string   `json:"name"`
	Probability float64  `json:"belief"` // 0 to 1; with two causes at once they add up to more than 1
	For         []string `json:"for"`
	Against     []string `json:"against"`
	Mixture     string   `json:"mixture_goes"`
	Screws      string   `json:"screws_would_go"`
	Next        string   `json:"next"`
}

// evidence is a sign that could be looked for, with the probability that it is
// present.
type evidence struct {
	*sign
	probability float64
}

// collectEvidence looks for every sign of the table.
func (c *comparison) collectEvidence() []evidence {
	var found []evidence
	for i := range signTable {
		if s := signTable[i].check(c); s.told {
			found = append(found, evidence{&signTable[i], s.probability})
		}
	}
	return found
}

// likelihood gives the probability of the evidence where the sign is present in a
// share of such cases.
//
// Source: Jeffrey's rule for evidence that is itself uncertain.
func (e evidence) likelihood(share float64) float64 {
	return e.probability*share + (1-e.probability)*(1-share)
}

// pairShare gives the share of cases with two causes at once in which a sign is
// present: where either shows it. For leaner and richer, two causes that pull
// apart show whichever is stronger.
func (s *sign) pairShare(a, b int) float64 {
	pa, pb := s.per100[a]/perCent, s.per100[b]/perCent
	if (s.code == codeLeaner || s.code == codeRicher) && math.Abs(pa-pb) > even {
		return (pa + pb) / 2
	}
	return 1 - (1-pa)*(1-pb)
}

// posteriors gives the probability of each cause by Bayes' rule, with the signs
// taken as independent. Every cause alone and every two at once are weighed, and a
// cause gets the probability of all that it is part of. "Nothing else" is never
// one of two.
func posteriors(found []evidence, o Options) [numCauses]float64 {
	var posterior [numCauses]float64
	total := 0.0
	for a := range numCauses {
		for b := a; b < numCauses; b++ {
			if a != b && causes[a] == CauseNone {
				continue
			}
			weight := jointWeight(found, a, b, o)
			total += weight
			posterior[a] += weight
			if a != b {
				posterior[b] += weight
			}
		}
	}
	for i := range posterior {
		posterior[i] /= total // above 0: no share is 0 or 1
	}
	return posterior
}

// jointWeight gives the prior times the likelihood of two causes at once, or of
// one alone where a and b are the same.
func jointWeight(found []evidence, a, b int, o Options) float64 {
	weight := priors[a] / perCent
	if a != b {
		weight *= o.PairPriorFactor * priors[b] / perCent
	}
	for _, e := range found {
		share := e.per100[a] / perCent
		if a != b {
			share = e.pairShare(a, b)
		}
		weight *= e.likelihood(share)
	}
	return weight
}

// rankCauses orders the causes by probability, each with its evidence.
func (c *comparison) rankCauses() []RankedCause {
	found := c.collectEvidence()
	posterior := posteriors(found, c.opt)
	ranked := make([]RankedCause, 0, numCauses)
	for i, cause := range causes {
		a := adviceOf(cause)
		r := RankedCause{Cause: cause, Name: a.name, Probability: posterior[i], Mixture: a.mixture, Screws: a.screws, Next: a.next}
		r.For, r.Against = c.argue(found, i)
		if cause == CauseNone && c.comparable && !c.residual.significant() {
			r.For = append([]string{saysNothingLeft(c)}, r.For...)
		}
		ranked = append(ranked, r)
	}
	slices.SortStableFunc(ranked, func(a, b RankedCause) int { return cmp.Compare(b.Probability, a.Probability) })
	return ranked
}

// argue gives the signs that speak for a cause and those against it, the
// strongest first.
func (c *comparison) argue(found []evidence, cause int) (speaksFor, against []string) {
	speaksFor, against = []string{}, []string{}
	found = slices.Clone(found)
	slices.SortStableFunc(found, func(a, b evidence) int {
		return cmp.Compare(math.Abs(b.logLikelihoodRatio(cause)), math.Abs(a.logLikelihoodRatio(cause)))
	})
	threshold := math.Log(c.opt.MinLikelihoodRatio)
	for _, e := range found {
		present := e.probability >= even
		if (e.code == codeSlowly || e.code == codeAtOnce) && !present {
			continue // the other of the two says it
		}
		says := e.saysAbsent
		if present {
			says = e.saysPresent
		}
		switch ratio := e.logLikelihoodRatio(cause); {
		case ratio >= threshold:
			speaksFor = append(speaksFor, says(c))
		case ratio <= -threshold:
			against = append(against, says(c))
		}
	}
	return speaksFor, against
}

// logLikelihoodRatio gives the natural logarithm of how much likelier the
// evidence is with a cause than with the others.
func (e evidence) logLikelihoodRatio(cause int) float64 {
	others, all := 0.0, 0.0
	for i, prior := range priors {
		if i != cause {
			others += prior * e.likelihood(e.per100[i]/perCent)
			all += prior
		}
	}
	return math.Log(e.likelihood(e.per100[cause]/perCent) * all / others)
}

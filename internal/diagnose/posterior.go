package diagnose

import (
	"cmp"
	"math"
	"slices"
)

// RankedCause is a group of causes with its evidence.
type RankedCause struct {
	Cause       Group     `json:"cause"`
	Name        string    `json:"name"`
	Probability float64   `json:"belief"` // 0 to 1; with two causes at once they add up to more than 1
	For         []string  `json:"for"`
	Against     []string  `json:"against"`
	Mixture     string    `json:"mixture_goes"`
	Screws      string    `json:"screws_would_go"`
	Next        string    `json:"next"`  // how to check; it turns no screw
	Which       []Suspect `json:"which"` // the causes of the group, most likely first
}

// Suspect is one cause of a group.
type Suspect struct {
	Cause       Cause   `json:"cause"`
	Name        string  `json:"name"`
	Probability float64 `json:"belief"` // 0 to 1
	Check       string  `json:"check"`
}

// evidence is a sign that could be looked for, with the probability that it is
// present.
type evidence struct {
	index       int // in signTable
	probability float64
}

func (e evidence) sign() *sign { return &signTable[e.index] }

// collectEvidence looks for every sign of the table.
func (c *comparison) collectEvidence() []evidence {
	var found []evidence
	for i := range signTable {
		if s := signTable[i].check(c); s.told {
			found = append(found, evidence{i, s.probability})
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

// opposed reports whether a sign has an opposite, so that two causes of which one
// shows the one and one the other show whichever is stronger.
func (s *sign) opposed() bool {
	return s.code == faster || s.code == slower || s.code == burblesLess || s.code == burblesMore
}

// pairShare gives the share of cases with two causes at once in which a sign is
// present: where either shows it, and where it is there anyway.
func (s *sign) pairShare(a, b float64) float64 {
	if s.opposed() && math.Abs(a-b) > even {
		return (a + b) / 2
	}
	const never = 0.01 // nothing is
	return min(1-never, max(never, 1-(1-a)*(1-b)/(1-s.usual/perCent)))
}

// belief is the posterior probability of every cause alone and of every two at once.
type belief struct {
	model  *model
	weight [][]float64 // of two causes, or of one alone where both are the same; they add up to 1
}

// judge applies Bayes' rule, with the signs taken as independent. "Nothing else" is
// never one of two.
func (m *model) judge(found []evidence, o Options) belief {
	b := belief{m, make([][]float64, len(m.rows))}
	total := 0.0
	for i := range m.rows {
		b.weight[i] = make([]float64, len(m.rows))
		for j := i; j < len(m.rows); j++ {
			if i != j && m.rows[i].cause == CauseNone {
				continue
			}
			b.weight[i][j] = m.jointWeight(found, i, j, o)
			total += b.weight[i][j]
		}
	}
	for i := range b.weight {
		for j := range b.weight[i] {
			b.weight[i][j] /= total // above 0: no share is 0 or 1
		}
	}
	return b
}

// jointWeight gives the prior times the likelihood of two causes at once, or of
// one alone where a and b are the same.
func (m *model) jointWeight(found []evidence, a, b int, o Options) float64 {
	weight := m.priors[a]
	if a != b {
		weight *= o.PairPriorFactor * m.priors[b]
	}
	for _, e := range found {
		share := m.perCause[a][e.index]
		if a != b {
			share = e.sign().pairShare(share, m.perCause[b][e.index])
		}
		weight *= e.likelihood(share)
	}
	return weight
}

// any gives the probability that a cause of a kind is at work, alone or as one of two.
func (b belief) any(kind func(causeRow) bool) float64 {
	sum := 0.0
	for i, row := range b.model.rows {
		for j := i; j < len(b.model.rows); j++ {
			if kind(row) || kind(b.model.rows[j]) {
				sum += b.weight[i][j]
			}
		}
	}
	return sum
}

func (b belief) group(g Group) float64 { return b.any(func(r causeRow) bool { return r.group == g }) }
func (b belief) cause(c Cause) float64 { return b.any(func(r causeRow) bool { return r.cause == c }) }

// lean gives the probability that something makes it lean.
func (b belief) lean() float64 { return b.any(func(r causeRow) bool { return groupOf(r.group).lean }) }

// rankCauses orders the groups by probability, each with its evidence.
func (c *comparison) rankCauses() []RankedCause {
	ranked := make([]RankedCause, 0, len(groups))
	for _, g := range groups {
		if !slices.Contains(c.model.groups, g.group) {
			continue
		}
		r := RankedCause{Cause: g.group, Name: g.name, Probability: c.belief.group(g.group), Mixture: g.mixture, Screws: c.machine.screwsFor(g), Which: c.suspects(g.group)}
		r.Next = saysNext(g, r.Which)
		r.For, r.Against = c.argue(g.group)
		if g.group == GroupNone && c.comparable && !c.residualRPM.significant() {
			r.For = append([]string{saysNothingLeft(c)}, r.For...)
		}
		ranked = append(ranked, r)
	}
	slices.SortStableFunc(ranked, func(a, b RankedCause) int { return cmp.Compare(b.Probability, a.Probability) })
	return ranked
}

// suspects gives the causes of a group, most likely first.
func (c *comparison) suspects(g Group) []Suspect {
	var all []Suspect
	for _, row := range c.model.rows {
		if row.group == g {
			check := row.check
			if check == askFilter {
				check = c.filterAdvice()
			}
			all = append(all, Suspect{row.cause, row.name, c.belief.cause(row.cause), check})
		}
	}
	slices.SortStableFunc(all, func(a, b Suspect) int { return cmp.Compare(b.Probability, a.Probability) })
	return all
}

// argue gives the signs that speak for a group and those against it, the strongest
// first.
func (c *comparison) argue(g Group) (speaksFor, against []string) {
	speaksFor, against = []string{}, []string{}
	found := slices.Clone(c.evidence)
	ratio := func(e evidence) float64 { return c.logLikelihoodRatio(e, g) }
	slices.SortStableFunc(found, func(a, b evidence) int { return cmp.Compare(math.Abs(ratio(b)), math.Abs(ratio(a))) })
	threshold := math.Log(c.opt.MinLikelihoodRatio)
	for _, e := range found {
		s, present := e.sign(), e.probability >= even
		if (s.code == slowly || s.code == atOnce) && !present {
			continue // the other of the two says it
		}
		words := s.unseen
		if present {
			words = s.seen
		}
		if words == nil {
			continue
		}
		switch r, text := ratio(e), words(c); {
		case r >= threshold && !slices.Contains(speaksFor, text):
			speaksFor = append(speaksFor, text)
		case r <= -threshold && !slices.Contains(against, text):
			against = append(against, text)
		}
	}
	return speaksFor, against
}

// logLikelihoodRatio gives the natural logarithm of how much likelier the evidence
// is with a group of causes than with the others.
func (c *comparison) logLikelihoodRatio(e evidence, g Group) float64 {
	var own, others struct{ weight, likelihood float64 }
	for i, row := range c.model.rows {
		to := &others
		if row.group == g {
			to = &own
		}
		to.weight += c.model.priors[i]
		to.likelihood += c.model.priors[i] * e.likelihood(c.model.perCause[i][e.index])
	}
	return math.Log(own.likelihood / own.weight * others.weight / others.likelihood)
}

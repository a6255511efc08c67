package diagnose

import "topnote/internal/engine"

// model is the table of causes as it holds for one machine.
type model struct {
	rows     []causeRow
	priors   []float64   // they add up to 1
	perCause [][]float64 // share of cases, 0 to 1, in which each sign is seen: cause by sign
	groups   []Group     // of each row
}

// newModel gives the causes that a machine can have, with their names for it.
func newModel(t traits) *model {
	m := &model{}
	total := 0.0
	for _, row := range causeTable {
		if row.only != nil && !row.only(t) {
			continue
		}
		row = t.adapt(row)
		total += row.weight
		shares := make([]float64, numSigns)
		for i, s := range signTable {
			shares[i] = s.usual / perCent
			if v, told := row.shares[s.code]; told {
				shares[i] = v / perCent
			}
		}
		m.rows, m.groups = append(m.rows, row), append(m.groups, row.group)
		m.perCause = append(m.perCause, shares)
	}
	for _, row := range m.rows {
		m.priors = append(m.priors, row.weight/total)
	}
	return m
}

// perCent divides the figures of the tables.
const perCent = 100

// adapt gives a row as it holds for a machine.
func (t traits) adapt(row causeRow) causeRow {
	words := t.load()
	switch row.cause {
	case CauseDrag:
		row.name, row.check = words.more, words.check
	case CauseLessDrag:
		row.name, row.check = words.less, words.check
	case CauseFilterLoaded:
		if t.compensated == engine.Yes {
			row.shares = row.shares.with(shares{burblesMore: 12, burblesLess: 10, richInCut: 8, weakInCut: 65})
		}
	case CauseFilterNew:
		if t.compensated == engine.Yes {
			row.check = "Its filter hardly changes the mixture: what it was set to, it is set to."
			row.shares = row.shares.with(shares{burblesLess: 12, burblesMore: 8})
		}
	}
	return row
}

// with gives shares with some of them changed.
func (s shares) with(changed shares) shares {
	all := shares{}
	for code, v := range s {
		all[code] = v
	}
	for code, v := range changed {
		all[code] = v
	}
	return all
}

// row gives what is known of a cause for this machine; nil where it cannot have it.
func (m *model) row(c Cause) *causeRow {
	for i := range m.rows {
		if m.rows[i].cause == c {
			return &m.rows[i]
		}
	}
	return nil
}

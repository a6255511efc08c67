package measure

import (
	"sort"

	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/spectrum"
	"topnote/internal/verdict"
)

// Comparison is some measured passes side by side.
type Comparison struct {
	Report report.Comparison
}

// Compare compares passes with the first of them; all were measured as the same
// machine, and none was closed. The error is a *entry.Refusal unless there are 2 to
// report.MaxPasses, and a *clip.Problem when a sound cannot be read back.
func Compare(passes []Measurement) (Comparison, error) {
	if len(passes) < 2 || len(passes) > report.MaxPasses {
		return Comparison{}, refusePasses(len(passes))
	}
	first := passes[0]
	q := report.Query(first.Report.Engine, report.Limits{})
	var reports []report.Report
	var orders []*report.Orders
	var pairs []verdict.Comparison
	for i, m := range passes {
		reports = append(reports, m.Report)
		spectrum, err := plateauOrders(m)
		if err != nil {
			return Comparison{}, err
		}
		orders = append(orders, spectrum)
		if i > 0 {
			name := "the " + report.Ordinal(i+1)
			pairs = append(pairs, verdict.Compare(first.side(), m.side(), name, q, verdict.Default()))
		}
	}
	return Comparison{report.NewComparison(reports, orders, pairs)}, nil
}

func (m Measurement) side() verdict.Side {
	return verdict.Side{Summary: m.summary, Code: verdict.Code(m.Report.Verdict.Code)}
}

// maxPlateau is how much of a plateau goes into its order spectrum: more
// changes nothing that can be seen.
const maxPlateau = 8 // s

// plateauOrders gives the order spectrum of the fastest plateau, nil where it is too
// short or there is none.
func plateauOrders(m Measurement) (*report.Orders, error) {
	if m.summary.TopEnd == nil {
		return nil, nil
	}
	from := max(0, m.summary.TopEnd.From)
	to := min(m.summary.TopEnd.To, from+maxPlateau)
	rate := m.sound.Rate
	a := min(int(from*engine.Seconds(rate)), m.sound.Samples.Len())
	b := min(int(to*engine.Seconds(rate)), m.sound.Samples.Len())
	speed := speedBetween(m.Report.Track)
	turns := spectrum.ShaftAngle(b-a, rate, func(i int) engine.RPM {
		return speed(float64(a+i) / float64(rate))
	})
	samples, err := m.sound.Samples.Segment(nil, a, b)
	if err != nil {
		return nil, err
	}
	levels, err := spectrum.Orders(nil, samples, turns)
	if err != nil { // too few turns
		return nil, nil
	}
	return report.NewOrders(float64(from), float64(to), spectrum.LinesPerOrder, levels), nil
}

// speedBetween gives the speed at any time by the told readings on either side
// of it; beyond them it is constant, and without any it is 0.
func speedBetween(track []report.Point) func(at float64) engine.RPM {
	var told []report.Point
	for _, p := range track {
		if p.RPM.Told() {
			told = append(told, p)
		}
	}
	return func(at float64) engine.RPM {
		i := sort.Search(len(told), func(i int) bool { return told[i].TimeS >= at })
		switch {
		case len(told) == 0:
			return 0
		case i == 0:
			return engine.RPM(told[0].RPM)
		case i == len(told):
			return engine.RPM(told[i-1].RPM)
		}
		before, after := told[i-1], told[i]
		share := (at - before.TimeS) / (after.TimeS - before.TimeS)
		return engine.RPM(before.RPM + report.Speed(share)*(after.RPM-before.RPM))
	}
}

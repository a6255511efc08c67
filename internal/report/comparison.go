package report

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/verdict"
)

// ComparisonSchema names the layout of the JSON of a Comparison.
const ComparisonSchema = "topnote.comparison/1"

// MaxPasses is the most passes that can be compared: more lines in one picture
// cannot be told apart.
const MaxPasses = 6

// Comparison is two passes or more, each compared with the first.
type Comparison struct {
	Schema string         `json:"schema"` // always ComparisonSchema
	Passes []ComparedPass `json:"passes"` // as the user named them
	Pairs  []Pair         `json:"pairs"`  // one for each pass from the second on
}

// ComparedPass is one pass with what the picture needs of it.
type ComparedPass struct {
	Report   Report   `json:"report"`
	OpensAtS *float64 `json:"opens_at_s"` // where the throttle opens; null: not in the recording
	Orders   *Orders  `json:"orders"`     // of the plateau; null: it is too short, or there is none
}

// Orders is the order spectrum of a stretch of the pass.
type Orders struct {
	FromS         float64   `json:"from_s"`
	ToS           float64   `json:"to_s"`
	LinesPerOrder int       `json:"lines_per_order"`
	LevelsDB      []float64 `json:"levels_db"` // over the local floor; element k is order (k+1)/LinesPerOrder
}

// Pair is the comparison of one pass with the first.
type Pair struct {
	Pass        int          `json:"pass"`    // counted from 1: 2 for the second
	Mixture     string       `json:"mixture"` // a verdict.Mixture
	Says        string       `json:"says"`
	Differences []Difference `json:"differences"` // never nil
	Why         string       `json:"why"`         // optional in the schema: one sentence for a learner; "" where nothing can be concluded
}

// Measured gives the differences whose figure at least one of the passes has.
func (p Pair) Measured() []Difference {
	return slices.DeleteFunc(slices.Clone(p.Differences), func(d Difference) bool { return d.First == nil && d.Second == nil })
}

// Difference is one figure of two passes; null where a pass does not have it.
type Difference struct {
	Figure string   `json:"figure"` // a verdict.Compared
	Unit   string   `json:"unit"`   // "rpm", "s" or "share"
	First  *float64 `json:"first"`
	Second *float64 `json:"second"`
	By     *float64 `json:"by"` // Second less First
	SD     *float64 `json:"sd"` // one standard deviation of By
	Tell   string   `json:"tell"`
	Means  string   `json:"means"` // what a difference can come from; "" for none
}

// The values of Difference.Tell, of the second pass.
const (
	TellMore  = "more"
	TellLess  = "less"
	TellSame  = "about-the-same" // within two standard deviations
	TellNotBy = "not-told"       // one of the two is missing
)

// NewComparison makes the comparison of passes; pairs has one element for each
// pass from the second on. OpensAtS is found in the reports.
func NewComparison(reports []Report, orders []*Orders, pairs []verdict.Comparison) Comparison {
	c := Comparison{Schema: ComparisonSchema}
	for i, r := range reports {
		c.Passes = append(c.Passes, ComparedPass{Report: r, OpensAtS: opening(r), Orders: orders[i]})
	}
	for i, p := range pairs {
		pair := Pair{Pass: i + 2, Mixture: string(p.Mixture), Says: p.Says, Why: p.Why, Differences: []Difference{}}
		for _, d := range p.Differences {
			pair.Differences = append(pair.Differences, newDifference(d))
		}
		c.Pairs = append(c.Pairs, pair)
	}
	return c
}

// NewOrders makes the order spectrum of a stretch of the pass, in seconds.
func NewOrders(from, to float64, linesPerOrder int, levels []float64) *Orders {
	o := &Orders{FromS: engine.Round(from, perSecond), ToS: engine.Round(to, perSecond), LinesPerOrder: linesPerOrder}
	for _, v := range levels {
		o.LevelsDB = append(o.LevelsDB, engine.Round(v, perDecibel))
	}
	return o
}

// opening gives the time at which the throttle opens for the fastest stretch
// at full throttle, nil where there is none.
func opening(r Report) *float64 {
	if r.TopEnd == nil {
		return nil
	}
	for _, ph := range slices.Backward(r.Phases) {
		if pass.Kind(ph.Kind) == pass.Rise && ph.FromS <= r.TopEnd.FromS {
			return &ph.FromS
		}
	}
	return nil
}

func newDifference(d verdict.Difference) Difference {
	unit, per := unitOf(d.Figure)
	n := Difference{
		Figure: string(d.Figure), Unit: unit, Tell: TellNotBy, Means: d.Means,
		First: roundOrNil(d.First, per), Second: roundOrNil(d.Second, per),
	}
	if !d.Told {
		return n
	}
	n.By, n.SD = roundOrNil(&d.By, per), roundOrNil(&d.SD, per)
	n.Tell = [...]string{TellLess, TellSame, TellMore}[d.Sign()+1]
	return n
}

// unitOf gives the unit of a figure and its steps per unit.
func unitOf(f verdict.Compared) (unit string, per float64) {
	switch f {
	case verdict.ComparedFour, verdict.ComparedCutFour:
		return "share", perShare
	case verdict.ComparedRise, verdict.ComparedFall, verdict.ComparedHang:
		return "s", perSecond
	default:
		return "rpm", perRPM
	}
}

// WriteComparisonJSON writes c as one line of JSON of ComparisonSchema. It
// returns the first error of w.
func WriteComparisonJSON(w io.Writer, c Comparison) error {
	text, err := json.Marshal(c)
	if err == nil {
		_, err = w.Write(append(spellOut(text), '\n'))
	}
	if err != nil {
		return fmt.Errorf("report: writing JSON: %w", err)
	}
	return nil
}

package report

import (
	"slices"

	"topnote/internal/verdict"
)

// View is what a page shows of a report beside the report's own sentences: the
// headline, figures and tables of WriteHTML, for pages with another layout.
type View struct {
	Tone     string // what the reader should do: stop, change, safe or open (nothing was judged)
	Headline string // the verdict in a few words
	File     string // the name of the clip without its folder
	Large    []LargeFigure
	Top      *TopFigure // nil: no full throttle without load
	First    string     // the first step, "" for none
	Further  []string   // the steps after it
	Other    string     // a second reading, "" for none
	Tables   []Table    // the figures and the phases
	Facts    Table      // what is known of the recording
}

// TopFigure is the top speed, the one large figure of a page.
type TopFigure struct {
	Name, Speed, Off, Margin string // "12,930", "± 50 rpm (95 %)", how far from the limit
	TooFast                  bool   // at or over the limit
}

// topFigure gives the top speed of r, nil where it has none.
func topFigure(r Report) *TopFigure {
	if r.TopEnd == nil {
		return nil
	}
	return &TopFigure{
		Name: nameTop, Speed: r.TopEnd.SustainedRPM.Reading(), Off: saysOff(*r.TopEnd), Margin: saysAgainst(r),
		TooFast: verdict.Code(r.Verdict.Code).Danger() == verdict.OverLimit.Danger(),
	}
}

// NewView makes the view of r.
func NewView(r Report) View {
	steps := r.Verdict.Advice
	first := ""
	if len(steps) > 0 {
		first, steps = steps[0], steps[1:]
	}
	return View{
		Top: topFigure(r), First: first, Further: steps,
		Tone:     string(r.Verdict.tone()),
		Headline: r.Verdict.Headline(),
		File:     fileName(r.Clip),
		Large:    largeFigures(r),
		Other:    otherReading(r.Verdict),
		Tables:   slices.DeleteFunc([]Table{namedTable(headSpeed, topRows(r)), openingTable(r), namedTable(headFigures, restRows(r)), phaseTable(r)}, Table.empty),
		Facts:    factTable(r),
	}
}

// ComparisonView is View for passes side by side.
type ComparisonView struct {
	Tone     string // stop where one of the passes has it, otherwise open: together they are not judged
	Headline string
	Passes   Table   // with their own verdicts
	Pairs    []Table // each pass against the first
}

// NewComparisonView makes the view of c.
func NewComparisonView(c Comparison) ComparisonView {
	v := ComparisonView{Tone: string(toneOpen), Headline: ComparisonHeadline(c), Passes: passTable(c), Pairs: pairTables(c)}
	for _, p := range c.Passes {
		if p.Report.Verdict.tone() == toneStop {
			v.Tone = string(toneStop)
		}
	}
	return v
}

// pairTables gives a table for each pass from the second on that has a figure to
// compare with the first.
func pairTables(c Comparison) []Table {
	var tables []Table
	for _, p := range c.Pairs {
		if len(p.Measured()) > 0 {
			tables = append(tables, pairTable(p, engineOf(c)))
		}
	}
	return tables
}

package report

import "slices"

// View is what a page shows of a report beside the report's own sentences: the
// headline, figures and tables of WriteHTML, for pages with another layout.
type View struct {
	Tone     string // what the reader should do: stop, change, safe or open (nothing was judged)
	Headline string // the verdict in a few words
	File     string // the name of the clip without its folder
	Large    []LargeFigure
	Other    string  // a second reading, "" for none
	Tables   []Table // the figures and the phases
	Facts    Table   // what is known of the recording
}

// NewView makes the view of r.
func NewView(r Report) View {
	return View{
		Tone:     string(r.Verdict.tone()),
		Headline: r.Verdict.Headline(),
		File:     fileName(r.Clip),
		Large:    largeFigures(r),
		Other:    otherReading(r.Verdict),
		Tables:   slices.DeleteFunc([]Table{namedTable(headSpeed, topRows(r)), namedTable(headFigures, restRows(r)), phaseTable(r.Phases)}, Table.empty),
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
			tables = append(tables, pairTable(p))
		}
	}
	return tables
}

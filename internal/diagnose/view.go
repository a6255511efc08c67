package diagnose

import (
	"slices"
	"strings"
)

// What a page shows of trends and explanations: the words and tables of
// WriteText, in parts.

// Headline says in one sentence which two passes are compared, and by how much
// the top speed changed.
func (e Explanation) Headline() string { return saysChange(e) }

// Sides gives the table of both passes; its first row holds the headings.
func (e Explanation) Sides() [][]string { return e.sides() }

// PartRows gives the table of the parts of the change: name, mixture, top speed
// and remark. Its first row holds the headings. Nothing without Parts.
func (e Explanation) PartRows() [][]string {
	if len(e.Parts) == 0 {
		return nil
	}
	rows := e.partRows()
	for i := range rows {
		rows[i][0] = strings.TrimSpace(rows[i][0]) // indented in text
	}
	return rows
}

// Likely gives the causes that are likely enough to be named, most likely first:
// two at least, where there are as many.
func (e Explanation) Likely() []RankedCause {
	const always = 2
	n := slices.IndexFunc(e.Causes, func(c RankedCause) bool { return c.Probability < minNamed })
	if n < 0 {
		n = len(e.Causes)
	}
	return e.Causes[:min(len(e.Causes), max(n, always))]
}

// Particulars says which causes of the group are meant, "" where there is only one.
func (c RankedCause) Particulars() string { return saysWhich(c) }

// Headline gives the cause with its probability.
func (c RankedCause) Headline() string { return saysCause(c) }

// Rows gives the table of the trend; its first row holds the headings.
func (t Trend) Rows() [][]string {
	rows := [][]string{trendHead()}
	for _, p := range t.Passes {
		rows = append(rows, p.cells())
	}
	return rows
}

package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"
)

// TextStyle is the layout of text for people. Colour never carries meaning alone:
// without it the words are the same.
type TextStyle struct {
	Colour  bool // mark up with the terminal's own colours; for a terminal only
	Columns int  // 40 or more; lines are wrapped to it, tables keep within 72
	Short   bool // only the verdict, its figures and the first step; of a comparison the conclusion and a row for each pass
	Lines   int  // of the short text at most, unless less cannot be said; 0: ShortLines

	brief bool // the short text without what its first sentence says
}

// DefaultColumns is the width of a page of text when nothing narrower is known.
const DefaultColumns = 80

// WriteText writes r for a person to read: the verdict's sentence first, then
// the speed against the limit, then what to do, the problems with the recording, the
// cautions, the figures of the pass and the recording; with style.Short as
// shorttext.go has it. It returns the first error of w.
func WriteText(w io.Writer, r Report, style TextStyle) error {
	if style.Short {
		return writeShort(w, r, style)
	}
	p := page{out: bufio.NewWriter(w), style: style}
	p.verdict(r.Verdict)
	p.rows(headSpeed, topRows(r))
	p.list(headAdvice, r.Verdict.Advice, numbered)
	p.list(headFindings, saysFindings(r.Verdict.Findings), bulleted)
	p.list(headProblems, saysProblems(r.Quality.Problems), bulleted)
	p.list(headCautions, r.Verdict.Cautions, bulleted)
	p.openings(r)
	p.rows(headFigures, restRows(r))
	p.phases(r)
	p.rows(headRecording, recordingRows(r, Printable(r.Clip.File)))
	if err := p.out.Flush(); err != nil { // carries the first error of all
		return fmt.Errorf("report: writing text: %w", err)
	}
	return nil
}

// page writes blocks of text, each after an empty line.
type page struct {
	out   *bufio.Writer
	style TextStyle
}

// The terminal's attributes, by ECMA-48 (select graphic rendition): bold, and
// bold with one of the eight basic colours.
const (
	plain      = "\x1b[0m"
	bold       = "\x1b[1m"
	boldRed    = "\x1b[1;31m"
	boldGreen  = "\x1b[1;32m"
	boldYellow = "\x1b[1;33m"
)

func (p page) paint(attribute, text string) string {
	if !p.style.Colour {
		return text
	}
	return attribute + text + plain
}

func (p page) verdict(v Verdict) {
	sentence := strings.TrimSuffix(wrap(v.Says, "", p.style.Columns), "\n")
	fmt.Fprintln(p.out, p.paint(verdictColour(v), sentence))
	if !p.style.brief {
		fmt.Fprintf(p.out, "(%s)\n", Printable(v.Code))
	}
	if v.OtherReadingRPM.Told() {
		p.out.WriteString(wrap(saysOther(v.OtherReadingRPM), "", p.style.Columns))
	}
}

func (p page) heading(text string) {
	fmt.Fprintf(p.out, "\n%s\n", p.paint(bold, text))
}

// row writes a named figure; the name's column is as wide as the longest name.
func (p page) row(name, text string) {
	p.out.WriteString(wrap(text, fmt.Sprintf("  %-15s", name), p.style.Columns))
}

// rows writes named rows under a heading; nothing where there are none.
func (p page) rows(heading string, rows [][2]string) {
	if len(rows) == 0 {
		return
	}
	p.heading(heading)
	for _, row := range rows {
		p.row(row[0], row[1])
	}
}

func bulleted(int) string   { return "  - " }
func numbered(i int) string { return fmt.Sprintf("  %d. ", i+1) }

func (p page) list(heading string, items []string, mark func(int) string) {
	if len(items) == 0 {
		return
	}
	p.heading(heading)
	for i, item := range items {
		p.out.WriteString(wrap(item, mark(i), p.style.Columns))
	}
}

func (p page) openings(r Report) {
	if len(r.Openings) == 0 {
		return
	}
	p.heading(headOpenings)
	p.out.WriteString(OpeningLine(OpeningColumns(r.Engine)))
	for _, o := range r.Openings {
		p.out.WriteString(OpeningLine(o.Cells(r.Limits.MaxRPM)))
	}
}

func (p page) phases(r Report) {
	if len(r.Phases) == 0 {
		return
	}
	p.heading(headPhases)
	const layout = "  %-14s %6s %6s %8s %8s %8s %14s\n"
	for _, row := range append([][]string{append([]string{""}, phaseColumns(r.Engine)...)}, phaseRows(r.Phases)...) {
		fmt.Fprintf(p.out, layout, row[0], row[1], row[2], row[3], row[4], row[5], row[6])
	}
}

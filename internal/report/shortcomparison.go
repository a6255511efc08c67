package report

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
)

// writeShortComparison writes the conclusion, a row for each pass and one caution. What
// the figures of two passes differ in, why, and the first problem with a recording are
// among them as far as ShortLines allow.
func writeShortComparison(w io.Writer, c Comparison, style TextStyle) error {
	var more shortMore
	text := shortComparison(c, style, more)
	for _, add := range []func(*shortMore){
		func(m *shortMore) { m.problem = true }, func(m *shortMore) { m.figures = true }, func(m *shortMore) { m.why = true },
	} {
		longer := more
		add(&longer)
		if style.fits(&text, shortComparison(c, style, longer)) {
			more = longer
		}
	}
	return write(w, text)
}

// shortMore is what a short comparison has where there is room.
type shortMore struct{ problem, figures, why bool }

func shortComparison(c Comparison, style TextStyle, more shortMore) []byte {
	var b bytes.Buffer
	p := page{out: bufio.NewWriter(&b), style: style}
	indented := func(int) string { return "  " }
	if len(c.Pairs) == 1 {
		p.out.WriteString(wrap(c.Pairs[0].Says, "", style.Columns))
		fmt.Fprintf(p.out, "(%s)\n", c.Pairs[0].Mixture)
		if why := c.Pairs[0].Why; more.why && why != "" {
			p.out.WriteString(wrap(why, saysWhy, style.Columns))
		}
	} else {
		p.out.WriteString(wrap(ComparisonHeadline(c), "", style.Columns))
	}
	p.passRows(c)
	if more.figures {
		for _, pair := range c.Pairs {
			if figures := pair.different(); len(figures) > 0 {
				p.figures(pair, figures, engineOf(c))
			}
		}
	}
	if problems := problemsOf(c.Passes); more.problem && len(problems) > 0 {
		p.list(headProblems, problems[:1], indented)
	}
	if len(c.Passes) > 0 {
		p.list(headCautions, c.Passes[0].Report.Verdict.Cautions[:1], indented)
	}
	p.out.WriteString("\n" + wrap(saysMoreOfPasses(c), "", style.Columns))
	_ = p.out.Flush() // into memory
	return b.Bytes()
}

// different gives the figures that differ.
func (p Pair) different() (figures []Difference) {
	for _, d := range p.Measured() {
		if d.Means != "" {
			figures = append(figures, d)
		}
	}
	return figures
}

// passRows writes a row for each pass: its figures, what it is against the first, and
// its verdict.
func (p page) passRows(c Comparison) {
	p.heading(headPasses)
	const layout = "  %2s %-12s %14s %8s %8s  %-7s  %s\n"
	upper, lower := engineOf(c).missingHead()
	fmt.Fprintf(p.out, layout, "", "", "", "", upper, "against", "")
	fmt.Fprintf(p.out, layout, "", "", "top speed, rpm", "to limit", lower, Ordinal(1), "verdict")
	for i, pass := range c.Passes {
		cells := tableCells(Outcome{Report: &pass.Report})
		against := ""
		if i > 0 && i <= len(c.Pairs) {
			against = c.Pairs[i-1].Mixture
		}
		fmt.Fprintf(p.out, layout, fmt.Sprintf("%d.", i+1), shortenLeft(fileName(pass.Report.Clip), minRoom), cells[1], cells[2], cells[3], against, cells[0])
	}
}

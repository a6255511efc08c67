package report

import (
	"bufio"
	"fmt"
	"io"
)

// WriteComparisonText writes c for a person to read: the conclusions first,
// then the passes, then the figures of each beside those of the first and what
// their differences can come from; with style.Short as shortcomparison.go has it. It
// returns the first error of w.
func WriteComparisonText(w io.Writer, c Comparison, style TextStyle) error {
	if style.Short {
		return writeShortComparison(w, c, style)
	}
	p := page{out: bufio.NewWriter(w), style: style}
	for _, pair := range c.Pairs {
		p.out.WriteString(wrap(pair.Says, "", style.Columns))
		fmt.Fprintf(p.out, "(%s)\n", pair.Mixture)
		if pair.Why != "" {
			p.out.WriteString(wrap(pair.Why, saysWhy, style.Columns))
		}
	}
	p.heading(headPasses)
	for i, pass := range c.Passes {
		p.comparedPass(i+1, pass.Report)
	}
	for _, pair := range c.Pairs {
		p.pair(pair, engineOf(c))
	}
	p.list(headProblems, problemsOf(c.Passes), bulleted)
	if len(c.Passes) > 0 {
		p.list(headCautions, c.Passes[0].Report.Verdict.Cautions, bulleted)
	}
	if err := p.out.Flush(); err != nil { // carries the first error of all
		return fmt.Errorf("report: writing text: %w", err)
	}
	return nil
}

// engineOf gives the engine of the passes: they are of one machine.
func engineOf(c Comparison) Engine {
	if len(c.Passes) == 0 {
		return Engine{}
	}
	return c.Passes[0].Report.Engine
}

// comparedPass writes a pass with its own verdict and findings.
func (p page) comparedPass(n int, r Report) {
	says := fmt.Sprintf("%s: %s, %s.", fileName(r.Clip), r.Verdict.Headline(), saysTop(r))
	for _, f := range r.Verdict.Findings {
		says += " " + f.Says
	}
	p.out.WriteString(wrap(says, fmt.Sprintf("  %d. ", n), p.style.Columns))
}

// problemsOf gives the problems with each recording, with its place.
func problemsOf(passes []ComparedPass) []string {
	var all []string
	for i, pass := range passes {
		for _, says := range saysProblems(pass.Report.Quality.Problems) {
			all = append(all, fmt.Sprintf("The %s: %s", Ordinal(i+1), says))
		}
	}
	return all
}

// pair writes the table of one pass against the first, then what the differences
// mean; nothing where neither has a figure.
func (p page) pair(pair Pair, e Engine) {
	heard := pair.Measured()
	if len(heard) == 0 {
		return
	}
	p.figures(pair, heard, e)
	var means []string
	for _, d := range heard {
		if d.Means != "" {
			means = append(means, d.Means)
		}
	}
	p.list(headMeans, means, bulleted)
}

// figures writes figures of one pass beside those of the first.
func (p page) figures(pair Pair, figures []Difference, e Engine) {
	p.heading(saysAgainstFirst(pair.Pass))
	const layout = "  %-24s %10s %10s   %s\n"
	fmt.Fprintf(p.out, layout, "", Ordinal(1), Ordinal(pair.Pass), "difference")
	for _, d := range figures {
		fmt.Fprintf(p.out, layout, figureName(d.Figure, e), saysFigure(d.Unit, d.First), saysFigure(d.Unit, d.Second), saysDifference(d))
	}
}

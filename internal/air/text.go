package air

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// textWidth is the width of text for people, in characters.
const textWidth = 80

// WriteText writes the result for people, in 80 columns: the answer in one
// sentence, the air of both days, what to do and one caution; full has the other
// figures, where they come from and the cautions too.
func (r Result) WriteText(w io.Writer, u Units, full bool) error {
	const read = 4 // rows of the air as people read it, and its density
	p := page{bufio.NewWriter(w)}
	p.wrap("", r.headline(u))
	rows := r.Rows(u)
	if !full {
		rows = rows[:read]
	}
	p.table(r, rows)
	if r.Shift != nil {
		fmt.Fprintln(p)
		p.wrap("", r.Shift.causes())
	}
	if r.Filter != nil {
		p.list("The filter", r.Filter.says(u))
	}
	p.list("What to do", r.Advice())
	if !full {
		p.list("Cautions", Cautions()[:1])
		fmt.Fprintln(p)
		p.wrap("", saysMore)
		return p.Flush()
	}
	p.list("Where the figures come from", r.Notes(u))
	p.list("Cautions", Cautions())
	return p.Flush()
}

// page formats text; its errors are those of Flush.
type page struct{ *bufio.Writer }

// list writes a heading and its points; nothing where there are none.
func (p page) list(heading string, points []string) {
	if len(points) == 0 {
		return
	}
	fmt.Fprintf(p, "\n%s\n", heading)
	for _, point := range points {
		p.wrap("- ", point)
	}
}

// wrap writes text in lines of at most textWidth, the first behind lead, the
// others indented as far.
func (p page) wrap(lead, text string) {
	line, filled := lead, false
	for _, word := range words(text) {
		switch {
		case !filled:
			line += word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > textWidth:
			fmt.Fprintln(p, line)
			line = strings.Repeat(" ", len(lead)) + word
		default:
			line += " " + word
		}
		filled = true
	}
	fmt.Fprintln(p, line)
}

// words splits text at its blanks, but keeps a number and its unit together.
func words(text string) []string {
	var out []string
	for _, word := range strings.Fields(text) {
		if last := len(out) - 1; last >= 0 && isDigit(out[last][len(out[last])-1]) {
			out[last] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// table writes the figures of the airs side by side.
func (p page) table(r Result, rows [][]string) {
	fmt.Fprintln(p)
	if r.Since != nil {
		p.row("", "now", "then")
	}
	for _, cells := range rows {
		p.row(cells...)
	}
}

// figure is one figure of an air, for people.
type figure struct {
	name  string
	value func(Air) string
}

func figures(u Units) []figure {
	return []figure{
		{"temperature", func(a Air) string { return u.temp(a.Temp) }},
		{"relative humidity", func(a Air) string { return share(a.RH) }},
		{"pressure", func(a Air) string { return u.pressure(a.Pressure) }},
		{"density of the air", func(a Air) string { return u.density(a.Density) }},
		{"dry air in it", func(a Air) string { return u.density(a.DryDensity) }},
		{"density altitude", func(a Air) string { return u.height(a.DensityAltitude) }},
	}
}

// row writes cells in columns of 20 characters.
func (p page) row(cells ...string) {
	var line strings.Builder
	for _, cell := range cells {
		fmt.Fprintf(&line, "%-20s", cell)
	}
	fmt.Fprintln(p, strings.TrimRight(line.String(), " "))
}

package air

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"topnote/internal/layout"
)

// The size of text for people: its width in characters, and the most lines of the short
// one, which a terminal shows without scrolling.
const textWidth, shortLines = 80, 24

// WriteText writes the result for people, in 80 columns: the answer in one
// sentence, the air of both days, what to do and one caution, on 24 lines at most; full
// has all that is to be done, the other figures, where they come from and the cautions.
func (r Result) WriteText(w io.Writer, u Units, full bool) error {
	all := len(r.Advice())
	text := r.text(u, full, true, all)
	// What is left out first is what explains, then what is done last.
	for steps := all; !full && steps > 0 && bytes.Count(text, []byte("\n")) > shortLines; steps-- {
		text = r.text(u, full, false, steps)
	}
	_, err := w.Write(text)
	return err
}

// text gives the text with the causes of the shift, and with so many steps of what to do.
func (r Result) text(u Units, full, causes bool, steps int) []byte {
	const read = 3 // rows of the air as people read it; its density follows
	var b bytes.Buffer
	p := page{layout.NewPage(&b, textWidth)}
	p.Wrap("", r.headline(u))
	rows := r.Rows(u)
	switch {
	case !full && r.Filter != nil:
		rows = rows[:read]
	case !full:
		rows = rows[:read+1]
	}
	p.table(r, rows)
	if r.Shift != nil && causes {
		fmt.Fprintln(p)
		p.Wrap("", r.Shift.causes())
	}
	if r.Filter != nil {
		says := r.Filter.says(u)
		if !full {
			says = says[:1]
		}
		p.List("The filter", says)
	}
	p.List("What to do", r.Advice()[:steps])
	if full {
		p.List("Where the figures come from", r.Notes(u))
		p.List("Take care", Cautions())
	} else {
		p.List("Take care", Cautions()[:1])
		fmt.Fprintln(p)
		p.Wrap("", saysMore)
	}
	_ = p.Flush() // into memory
	return b.Bytes()
}

// page is a page with a table of two airs.
type page struct{ layout.Page }

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

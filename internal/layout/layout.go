// Package layout sets text for people on lines of a fixed width: paragraphs,
// lists and tables, as a terminal shows them.
//
// Start with NewPage. Widths are counted in characters (runes), not in bytes. A
// number is never parted from its unit. Nothing here is coloured, and nothing is
// escaped: text from outside the program goes through report.Printable or is
// quoted first.
package layout

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// Page is text that is written block by block. The first error of its writer
// comes out of Flush.
type Page struct {
	*bufio.Writer
	columns int // width of a line, in characters
}

// NewPage begins a page on w whose lines have at most columns characters, where
// their words and tables allow it.
func NewPage(w io.Writer, columns int) Page { return Page{bufio.NewWriter(w), columns} }

// Heading writes a heading after an empty line.
func (p Page) Heading(text string) { fmt.Fprintf(p, "\n%s\n", text) }

// List writes a heading and its points; nothing where there are no points.
func (p Page) List(heading string, points []string) {
	if len(points) == 0 {
		return
	}
	p.Heading(heading)
	for _, point := range points {
		p.Wrap("- ", point)
	}
}

// Wrap writes a paragraph as the function Wrap sets it.
func (p Page) Wrap(lead, text string) { p.WriteString(Wrap(lead, text, p.columns)) }

// Wrap sets a paragraph on lines of at most columns characters: the first begins with
// lead, the others are indented by the width of lead. A word longer than a line gets its
// own line, and a number stays with its unit.
func Wrap(lead, text string, columns int) string {
	var b strings.Builder
	indent := utf8.RuneCountInString(lead)
	b.WriteString(lead)
	column := indent
	for _, word := range splitWords(text) {
		length := utf8.RuneCountInString(word)
		switch {
		case column == indent:
		case column+1+length > columns:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			column = indent
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += length
	}
	b.WriteByte('\n')
	return b.String()
}

// splitWords splits text at blanks, but keeps a number together with its unit and its ±.
func splitWords(text string) []string {
	var words []string
	for _, word := range strings.Fields(text) {
		if last := len(words) - 1; last >= 0 && (isUnit(word) && endsInDigit(words[last]) || word == "±" || strings.HasSuffix(words[last], "±")) {
			words[last] += " " + word
			continue
		}
		words = append(words, word)
	}
	return words
}

func isUnit(word string) bool {
	switch strings.Trim(word, ".,;:()") {
	case "rpm", "%", "s", "Hz", "dB", "MB", "turn", "turns", "days", "°C", "°F", "hPa", "inHg", "inH2O", "Pa", "m", "ft", "kg/m3", "lb/ft3":
		return true
	}
	return false
}

func endsInDigit(word string) bool {
	last := word[len(word)-1]
	return last >= '0' && last <= '9'
}

// Table writes rows of cells in columns as wide as their widest cell, two blanks
// apart. The columns with the indices right are aligned to the right.
func (p Page) Table(rows [][]string, right ...int) {
	widths := columnWidths(rows)
	for _, row := range rows {
		var line strings.Builder
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i > 0 {
				line.WriteString("  ")
			}
			if slices.Contains(right, i) {
				line.WriteString(pad + cell)
			} else {
				line.WriteString(cell + pad)
			}
		}
		fmt.Fprintln(p, strings.TrimRight(line.String(), " "))
	}
}

// columnWidths gives the width of the widest cell of each column, in characters.
func columnWidths(rows [][]string) []int {
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	return widths
}

// Count writes a number with its noun: "1 pass", "3 passes".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

package book

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// page lays text out for people; its errors come out of Flush.
type page struct {
	*bufio.Writer
	columns int
}

func newPage(w io.Writer, columns int) page { return page{bufio.NewWriter(w), columns} }

// heading writes a heading after an empty line.
func (p page) heading(text string) { fmt.Fprintf(p, "\n%s\n", text) }

// list writes a heading and its points; nothing where there are none.
func (p page) list(heading string, points []string) {
	if len(points) == 0 {
		return
	}
	p.heading(heading)
	for _, point := range points {
		p.wrap("- ", point)
	}
}

// wrap writes text in lines of the page's width, the first behind lead, the
// others indented as far. A number is not parted from its unit.
func (p page) wrap(lead, text string) {
	line, filled := lead, false
	for _, word := range wordsOf(text) {
		switch {
		case !filled:
			line += word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > p.columns:
			fmt.Fprintln(p, line)
			line = strings.Repeat(" ", utf8.RuneCountInString(lead)) + word
		default:
			line += " " + word
		}
		filled = true
	}
	fmt.Fprintln(p, line)
}

// wordsOf parts text at its blanks, but keeps a number and its unit together.
func wordsOf(text string) []string {
	var out []string
	for _, word := range strings.Fields(text) {
		if last := len(out) - 1; last >= 0 && isUnit(word) && endsInDigit(out[last]) {
			out[last] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

func isUnit(word string) bool {
	switch strings.TrimRight(word, ".,;:)") {
	case "rpm", "%", "s", "turn", "turns", "days", "°C", "hPa", "m", "kg/m3":
		return true
	}
	return false
}

func endsInDigit(word string) bool {
	last := word[len(word)-1]
	return last >= '0' && last <= '9'
}

// table writes rows of cells in columns that are as wide as their widest cell.
// The columns whose numbers are in right are set flush right.
func (p page) table(rows [][]string, right ...int) {
	var wide []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(wide) {
				wide = append(wide, 0)
			}
			wide[i] = max(wide[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		var line strings.Builder
		for i, cell := range row {
			pad := strings.Repeat(" ", wide[i]-utf8.RuneCountInString(cell))
			flush := false
			for _, r := range right {
				flush = flush || r == i
			}
			if flush {
				cell = pad + cell
			} else {
				cell += pad
			}
			if i > 0 {
				line.WriteString("  ")
			}
			line.WriteString(cell)
		}
		fmt.Fprintln(p, strings.TrimRight(line.String(), " "))
	}
}

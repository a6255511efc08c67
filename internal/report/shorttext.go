package report

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"io"
)

// ShortLines is how many lines of DefaultColumns the short text has at most: what a
// terminal shows without scrolling.
const ShortLines = 24

// writeShort writes the verdict, the top speed against the limit, the first thing to
// do and one caution, then how much more there is. How it fired, the idle and the first
// problem with the recording are among them as far as ShortLines allow.
func writeShort(w io.Writer, r Report, style TextStyle) error {
	rows := topRows(r)
	rows = rows[:min(2, len(rows))]
	problems := 0
	var text []byte
	try := func(rows [][2]string, problems int) bool {
		return style.fits(&text, shortText(r, style, rows, problems))
	}
	if text = shortText(r, style, rows, problems); !style.within(text) {
		style.brief = true
		return write(w, shortText(r, style, rows[:min(1, len(rows))], problems))
	}
	if try(rows, 1) {
		problems = 1
	}
	for _, row := range shortRows(r) {
		if try(append(rows, row), problems) {
			rows = append(rows, row)
		}
	}
	return write(w, text)
}

// fits takes a longer text where it has no more lines than the short text may have.
func (s TextStyle) fits(text *[]byte, longer []byte) bool {
	if !s.within(longer) {
		return false
	}
	*text = longer
	return true
}

// within reports whether a text has no more lines than the short text may have.
func (s TextStyle) within(text []byte) bool {
	return bytes.Count(text, []byte("\n")) <= cmp.Or(s.Lines, ShortLines)
}

// write hands a text over.
func write(w io.Writer, text []byte) error {
	if _, err := w.Write(text); err != nil {
		return fmt.Errorf("report: writing text: %w", err)
	}
	return nil
}

// shortText gives the short text with these figures and so many problems with the
// recording.
func shortText(r Report, style TextStyle, rows [][2]string, problems int) []byte {
	var b bytes.Buffer
	p := page{out: bufio.NewWriter(&b), style: style}
	indented := func(int) string { return "  " }
	list := func(head string, items []string, n int) { p.list(head, items[:min(n, len(items))], indented) }
	p.verdict(r.Verdict)
	p.rows(headSpeed, rows)
	list(headFirst, r.Verdict.Advice, 1)
	list(headProblems, saysProblems(r.Quality.Problems), problems)
	list(headCautions, r.Verdict.Cautions, 1)
	p.out.WriteString("\n" + wrap(saysMore(r, style.brief), "", style.Columns))
	_ = p.out.Flush() // into memory
	return b.Bytes()
}

// shortRows gives how it fired at full throttle, then the idle.
func shortRows(r Report) (rows [][2]string) {
	if r.TopEnd != nil {
		rows = append(rows, [2]string{rowFiring, saysFiring(*r.TopEnd, r.Engine)})
	}
	if r.Idle != nil {
		rows = append(rows, [2]string{rowIdle, saysIdle(*r.Idle, r.Limits, r.TopEnd != nil)})
	}
	return rows
}

package diagnose

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"topnote/internal/engine"
	"topnote/internal/layout"
	"topnote/internal/report"
)

// WriteText writes the explanation for people, in lines of at most columns
// characters. In short it is the answer, the next move and the first thing to check, in
// report.ShortLines; full has both passes, what changed, the parts, the causes with
// their evidence and the cautions too.
func (e Explanation) WriteText(w io.Writer, columns int, full bool) error {
	if !full {
		text := e.short(columns, e.Next.First == "") // else the next move begins with what to check
		if bytes.Count(text, []byte("\n")) > report.ShortLines {
			text = e.short(columns, false)
		}
		_, err := w.Write(text)
		return err
	}
	p := layout.NewPage(w, columns)
	p.Wrap("", saysChange(e))
	p.Wrap("", e.Answer)
	if e.Lesson != "" {
		p.Wrap("", fmt.Sprintf("Why: %s", e.Lesson))
	}
	p.Heading(headVerdict)
	p.Wrap("", e.Now.Says)
	p.Heading(headSides)
	p.Table(e.sides())
	p.List(headChanged, e.Changed)
	if len(e.Parts) > 0 {
		p.Heading(headParts)
		p.Table(e.partRows(), 1, 2)
	}
	writeCauses(p, e.Likely())
	p.Heading(headNext)
	p.Wrap("", e.Next.Says)
	p.List(headAssumed, e.Notes)
	p.List(headCautions, e.Cautions)
	return p.Flush()
}

// short gives the text in short, with or without what to check first.
func (e Explanation) short(columns int, check bool) []byte {
	var b bytes.Buffer
	p := layout.NewPage(&b, columns)
	p.Wrap("", saysChange(e))
	p.Wrap("", e.Answer)
	p.Heading(headVerdict)
	p.Wrap("", e.Now.Says)
	p.Heading(headNext)
	p.Wrap("", e.Next.Says)
	if check && len(e.Causes) > 0 && e.Causes[0].Cause != GroupNone {
		p.Heading(headCheck)
		p.Wrap("", e.Causes[0].Next)
	}
	p.List(headCautions, e.Cautions[:min(1, len(e.Cautions))])
	p.WriteString("\n")
	p.Wrap("", saysMoreOfWhy)
	_ = p.Flush() // into memory
	return b.Bytes()
}

// WriteJSON writes the explanation on one line.
func (e Explanation) WriteJSON(w io.Writer) error { return json.NewEncoder(w).Encode(e) }

// sides gives both passes side by side.
func (e Explanation) sides() [][]string {
	rows := [][]string{{"", "then", "now"}}
	add := func(name string, value func(Side) string) {
		rows = append(rows, []string{name, value(e.Then), value(e.Now)})
	}
	add("pass", func(s Side) string { return fmt.Sprint(s.Number) })
	add("recorded", func(s Side) string { return s.Recorded.Format(time.DateOnly) })
	add("top speed", func(s Side) string { return s.SustainedRPM.Reading() })
	add("four-stroking", func(s Side) string {
		if s.FourStrokingShare == nil {
			return "-"
		}
		return engine.FormatShare(*s.FourStrokingShare)
	})
	add("idle", func(s Side) string { return s.IdleRPM.Reading() })
	add("verdict", func(s Side) string { return s.Verdict })
	return rows
}

// partRows gives the parts as a table: mixture and speed.
func (e Explanation) partRows() [][]string {
	rows := [][]string{{"", "mixture", "top speed, rpm", ""}}
	for _, p := range e.Parts {
		note := ""
		if p.assumed {
			note = "not noted"
		}
		mixture, speed := leanerOrRicher(p.Leaner), signed(p.RPM)
		if p.SD > 0 {
			if math.Abs(p.Leaner) < farOff {
				mixture += " ± " + percent(engine.CoverageFactor*p.SD)
			}
			speed += " ± " + engine.FormatTens(engine.CoverageFactor*p.SDRPM)
		}
		if words, told := sideWords[p.Side]; told {
			mixture = words
		}
		rows = append(rows, []string{saysPart(p.What), mixture, speed, note})
	}
	return rows
}

// sideWords stand in place of a shift of the mixture where the speed does not tell it.
var sideWords = map[side]string{sideOpen: "richer, or past the peak", sidePast: "leaner, past the peak", sidePower: "not of the mixture"}

// signed writes a change of speed with its sign.
func signed(rpm float64) string {
	text := engine.FormatTens(rpm)
	if math.Round(rpm) > 0 {
		return "+" + text
	}
	return text
}

// writeCauses writes the likely causes with their evidence.
func writeCauses(p layout.Page, causes []RankedCause) {
	p.Heading(headCauses)
	for i, c := range causes {
		p.Wrap(fmt.Sprintf("%d. ", i+1), saysCause(c))
		p.Wrap("   ", fmt.Sprintf("Mixture: %s. People turn the screws: %s.", c.Mixture, c.Screws))
		if which := c.Particulars(); which != "" {
			p.Wrap("   ", which)
		}
		if len(c.For) > 0 {
			p.Wrap("   ", "For: "+strings.Join(c.For, "; ")+".")
		}
		if len(c.Against) > 0 {
			p.Wrap("   ", "Against: "+strings.Join(c.Against, "; ")+".")
		}
		p.Wrap("   ", "Next: "+c.Next)
	}
}

package book

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"topnote/internal/engine"
	"topnote/internal/layout"
	"topnote/internal/report"
)

// WriteMachines writes a table of machines for people.
func WriteMachines(w io.Writer, machines []Machine) error {
	p := layout.NewPage(w, report.DefaultColumns)
	if len(machines) == 0 {
		p.Wrap("", "No machine yet. Add one with topnote book machine add NAME --limit RPM.")
		return p.Flush()
	}
	rows := [][]string{{"machine", "strokes", "cylinders", "limit", "idle", "clutch", "notes"}}
	for _, m := range machines {
		rows = append(rows, []string{m.Name, fmt.Sprint(m.Engine.Strokes), fmt.Sprint(m.Engine.Cylinders),
			m.Limits.MaxRPM.String(), m.Limits.IdleRPM.String(), m.Limits.ClutchRPM.String(), m.Notes})
	}
	p.Table(rows, 1, 2, 3, 4, 5)
	return p.Flush()
}

// WriteMachine writes a machine with its edits for people.
func WriteMachine(w io.Writer, m Machine, edits []Edit, passes int) error {
	p := layout.NewPage(w, report.DefaultColumns)
	p.Wrap("", m.Name)
	rows := [][]string{{"engine", fmt.Sprintf("%d-stroke, %s", m.Engine.Strokes, layout.Count(m.Engine.Cylinders, "cylinder", "cylinders"))}}
	for _, f := range m.fields()[3:] {
		if f.value != notKnown {
			rows = append(rows, []string{f.name, f.value})
		}
	}
	p.Table(append(rows, []string{"passes", fmt.Sprint(passes)}))
	var changes []string
	for _, e := range edits {
		changes = append(changes, e.Says())
	}
	p.List("What was changed", changes)
	return p.Flush()
}

// field is one figure of a machine as it is shown.
type field struct{ name, value string }

func (m Machine) fields() []field {
	list := []field{
		{"name", m.Name},
		{"strokes", fmt.Sprint(m.Engine.Strokes)},
		{"cylinders", fmt.Sprint(m.Engine.Cylinders)},
		{"limit", inRPM(m.Limits.MaxRPM)},
		{"idle", inRPM(m.Limits.IdleRPM)},
		{"clutch", inRPM(m.Limits.ClutchRPM)},
	}
	known := report.Query(m.Engine, m.Limits)
	for _, f := range engine.Fields {
		if !f.OfPass {
			list = append(list, field{strings.ReplaceAll(f.Name, "-", " "), cmp.Or(f.Get(known), notKnown)})
		}
	}
	return append(list, field{"notes", m.Notes})
}

// notKnown is what is shown of a field that was not told.
const notKnown = "not known"

func inRPM(s report.Speed) string {
	if !s.Told() {
		return "not entered"
	}
	return s.String() + " rpm"
}

// Says gives an edit in one sentence: when, who, and what was changed.
func (e Edit) Says() string {
	says := e.At.Format(time.DateOnly)
	if e.Who != "" {
		says += ", " + e.Who
	}
	says += ":"
	before, after := e.Before.fields(), e.After.fields()
	separator := " "
	for i := range before {
		if before[i] != after[i] {
			says += fmt.Sprintf("%s%s from %s to %s", separator, before[i].name, strconv.Quote(before[i].value), strconv.Quote(after[i].value))
			separator = ", "
		}
	}
	return says
}

// WritePasses writes a table of passes for people.
func WritePasses(w io.Writer, passes []Pass) error {
	p := layout.NewPage(w, report.DefaultColumns)
	if len(passes) == 0 {
		p.Wrap("", "No pass yet. Store one with topnote measure CLIP --machine NAME.")
		return p.Flush()
	}
	rows := [][]string{{"pass", "recorded", "machine", "top speed", "four-stroking", "H", "verdict"}}
	for _, pass := range passes {
		held, h, four, verdict := "-", "-", "-", pass.Report.Verdict.Code
		if t := pass.Report.TopEnd; t != nil {
			held = t.SustainedRPM.Reading()
		}
		if pass.Screws.H != nil {
			h = pass.Screws.H.String()
		}
		if share, told := pass.FourStrokingShare(); told {
			four = engine.FormatShare(share)
		}
		if pass.ReplacedBy != 0 {
			verdict += fmt.Sprintf(" (see pass %d)", pass.ReplacedBy)
		}
		rows = append(rows, []string{fmt.Sprint(pass.Number), pass.Recorded.Format(time.DateOnly), pass.Machine, held, four, h, verdict})
	}
	p.Table(rows, 0, 3, 4, 5)
	return p.Flush()
}

// WriteText writes a pass for people: the day first, then its report, which may be
// short: see report.WriteText. Then the day has as many lines as the report leaves of
// report.ShortLines, the settings of the screws before the notes.
func (p Pass) WriteText(w io.Writer, style report.TextStyle) error {
	noted := p.noted()
	if !style.Short {
		return p.writeText(w, style, noted)
	}
	const (
		around = 2  // lines: the pass, and the empty one before the report
		least  = 18 // that most short reports need
	)
	for len(noted) > 1 && dayLines(noted, style.Columns) > report.ShortLines-around-least {
		noted = noted[:len(noted)-1]
	}
	style.Lines = report.ShortLines - around - dayLines(noted, style.Columns)
	var text bytes.Buffer
	if err := report.WriteText(&text, p.Report, style); err != nil {
		return err
	}
	room := report.ShortLines - around - bytes.Count(text.Bytes(), []byte("\n"))
	for len(noted) > 0 && dayLines(noted, style.Columns) > room {
		noted = noted[:len(noted)-1]
	}
	return p.writeText(w, style, noted)
}

func (p Pass) writeText(w io.Writer, style report.TextStyle, noted []field) error {
	page := layout.NewPage(w, style.Columns)
	page.Wrap("", fmt.Sprintf("Pass %d of %s, %s", p.Number, p.Machine, p.Recorded.Format("2006-01-02 15:04")))
	for _, f := range noted {
		page.Wrap(f.lead(), f.value)
	}
	page.WriteString("\n")
	if err := page.Flush(); err != nil {
		return err
	}
	return report.WriteText(w, p.Report, style)
}

// noted gives what was noted of the day of a pass, what matters most first.
func (p Pass) noted() []field {
	var list []field
	add := func(name, value string) {
		if value != "" {
			list = append(list, field{name, value})
		}
	}
	add("screws", p.Screws.String())
	if p.ReplacedBy != 0 {
		add("note", fmt.Sprintf("entered once more as pass %d, which counts", p.ReplacedBy))
	}
	add("tachometer", p.SaysTachometer())
	if p.Air != nil {
		add("air", p.Air.String())
	}
	add("air filter", p.FilterNote)
	add("fuel", p.FuelNote)
	add("who", p.Who)
	add("entered", p.Entered.Format(time.DateTime))
	return list
}

// lead is what stands before the value of a field, in a column as wide as the longest name.
func (f field) lead() string { return fmt.Sprintf("%-12s", f.name) }

// dayLines gives how many lines fields have.
func dayLines(fields []field, columns int) int {
	n := 0
	for _, f := range fields {
		n += strings.Count(layout.Wrap(f.lead(), f.value, columns), "\n")
	}
	return n
}

// String gives the settings that were noted: "H 1 1/4, L 1 turns out; idle screw 2
// turns in". The idle screw bears on the throttle lever and is counted from there.
func (s Screws) String() string {
	var out, parts []string
	if s.H != nil {
		out = append(out, "H "+s.H.String())
	}
	if s.L != nil {
		out = append(out, "L "+s.L.String())
	}
	if len(out) > 0 {
		parts = append(parts, strings.Join(out, ", ")+" "+turnsOf(s.H, s.L)+" out")
	}
	if s.Idle != nil {
		parts = append(parts, "idle screw "+s.Idle.String()+" "+turnsOf(s.Idle)+" in")
	}
	return strings.Join(parts, "; ")
}

// turnsOf gives the word behind the settings of some screws: "turn" behind a single
// one of at most one turn.
func turnsOf(settings ...*Turns) string {
	noted, more := 0, false
	for _, t := range settings {
		if t != nil {
			noted++
			more = more || *t > 1
		}
	}
	if noted == 1 && !more {
		return "turn"
	}
	return "turns"
}

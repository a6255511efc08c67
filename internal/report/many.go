package report

import (
	"bufio"
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"topnote/internal/engine"
	"topnote/internal/verdict"
)

// Outcome is the result of one of many recordings.
type Outcome struct {
	File    string
	Report  *Report // nil where it could not be measured; its track is not used
	Problem string  // why it could not be measured, in one sentence; "" otherwise
	ID      string  // the caller's own, to know it again
}

// Row is an outcome as a table of many shows it; a dash stands for what was not told.
type Row struct {
	Name, Tone, Verdict, Speed, Margin, Four string // Tone as in View
}

// Row gives the row of an outcome. Of what could not be measured the verdict is why.
func (o Outcome) Row() Row {
	cells := tableCells(o)
	row := Row{Name: Printable(o.File), Tone: string(toneOpen), Verdict: o.Problem, Speed: cells[1], Margin: cells[2], Four: cells[3]}
	if o.Report != nil {
		row.Tone, row.Verdict = string(o.Report.Verdict.tone()), o.Report.Verdict.Headline()
	}
	return row
}

// danger gives the rank of an outcome on the scale of verdict.Code.Danger; a
// recording that could not be measured ranks as one that could not be judged.
func (o Outcome) danger() int {
	if o.Report == nil {
		return verdict.NotEnough.Danger()
	}
	return o.Report.Verdict.Danger()
}

// overLimit gives how far the top speed is over the limit, below 0 for under it, in
// rpm as readers see both; false where either is missing.
func (o Outcome) overLimit() (float64, bool) {
	if o.Report == nil || o.Report.TopEnd == nil || !o.Report.Limits.MaxRPM.Told() {
		return 0, false
	}
	return o.Report.margin(), true
}

// WorstFirst sorts outcomes by danger, and equal ones by the margin to their limit.
func WorstFirst(outcomes []Outcome) []Outcome {
	sorted := slices.Clone(outcomes)
	slices.SortStableFunc(sorted, func(a, b Outcome) int {
		if c := cmp.Compare(b.danger(), a.danger()); c != 0 {
			return c
		}
		overA, toldA := a.overLimit()
		overB, toldB := b.overLimit()
		if !toldA || !toldB {
			return 0
		}
		return cmp.Compare(overB, overA)
	})
	return sorted
}

// WriteTable writes one line of text for each of many recordings, the most
// dangerous first. It returns the first error of w.
func WriteTable(w io.Writer, outcomes []Outcome, style TextStyle) error {
	out := bufio.NewWriter(w)
	p := page{out: out, style: style}
	const layout = "  %-18s  %14s  %8s  %8s"
	fmt.Fprintf(out, "%s\n\n", p.paint(bold, SaysCount(len(outcomes))))
	upper, lower := engineOfAll(outcomes).missingHead()
	fmt.Fprintf(out, layout+"\n", "", "", "", upper)
	fmt.Fprintf(out, layout+"  %s\n", "verdict", "top speed, rpm", "to limit", lower, "recording")
	room := style.Columns - len(fmt.Sprintf(layout, "", "", "", "")) - 2
	for _, o := range WorstFirst(outcomes) {
		cells := tableCells(o)
		line := fmt.Sprintf(layout, cells[0], cells[1], cells[2], cells[3])
		if o.Report != nil { // the code is padded before it is coloured: escapes have no width
			code := fmt.Sprintf("%-18s", cells[0])
			line = strings.Replace(line, code, p.paint(verdictColour(o.Report.Verdict), code), 1)
		}
		fmt.Fprintf(out, "%s  %s\n", line, shortenLeft(Printable(o.File), room))
	}
	if slices.ContainsFunc(outcomes, Outcome.worseFound) {
		out.WriteString("\n" + wrap(saysMarked, "  "+mark+" ", style.Columns))
	}
	if err := out.Flush(); err != nil { // carries the first error of all
		return fmt.Errorf("report: writing text: %w", err)
	}
	return nil
}

// engineOfAll gives the engine of recordings that were measured as one machine.
func engineOfAll(outcomes []Outcome) Engine {
	for _, o := range outcomes {
		if o.Report != nil {
			return o.Report.Engine
		}
	}
	return Engine{}
}

// worseFound reports whether something more dangerous than the verdict was
// found.
func (o Outcome) worseFound() bool { return o.Report != nil && o.Report.Verdict.worseFound() }

// mark marks a verdict beside which something more dangerous was found.
const mark = "*"

// tableCells gives verdict, speed, margin to the limit and four-stroking.
func tableCells(o Outcome) [4]string {
	cells := [4]string{rowNotRead, "-", "-", "-"}
	if o.Report == nil {
		return cells
	}
	cells[0] = o.Report.Verdict.Code
	if o.worseFound() {
		cells[0] += mark
	}
	if t := o.Report.TopEnd; t != nil {
		cells[1] = t.SustainedRPM.Reading() + " ± " + engine.FormatHalfWidth(t.SDRPM)
		cells[3] = engine.FormatShare(t.FourStrokingShare)
	}
	if over, told := o.overLimit(); told {
		sign := "+"
		if over == 0 {
			sign = ""
		} else if over < 0 {
			sign = minus
			over = -over
		}
		cells[2] = sign + engine.FormatWhole(over)
	}
	return cells
}

// minRoom is the room that a name has at least.
const minRoom = 12

// shortenLeft cuts the beginning of a name that is longer than room: its end says
// more.
func shortenLeft(name string, room int) string {
	room = max(minRoom, room)
	n := utf8.RuneCountInString(name)
	if n <= room {
		return name
	}
	return "…" + string([]rune(name)[n-room+1:])
}

// summaryHeader names the columns as the JSON names the fields.
var summaryHeader = []string{
	"file", "code", "says", "findings", "sustained_rpm", "sd_rpm", "peak_rpm", "max_rpm", "over_limit_rpm", "four_stroking_share", "clean_share",
	"idle_rpm", "idle_sd_rpm", "rise_s", "fall_s", "cut_rpm", "cut_four_stroking_share", "other_reading_rpm",
	"duration_s", "snr_db", "clipped_pct", "problems", "sha256", "error",
}

// WriteSummary writes a table of many recordings for a spreadsheet: a header
// and one row for each, in the order given, an empty cell where nothing could
// be told. A name that a spreadsheet would take for a formula gets ./ before
// it, and one that cannot be printed is quoted, as Printable
// gives it. It returns the first error of w.
//
// Source of the form (commas, CRLF, quotes): RFC 4180.
func WriteSummary(w io.Writer, outcomes []Outcome) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	out.Write(summaryHeader)
	for _, o := range outcomes {
		out.Write(summaryRow(o))
	}
	out.Flush()
	if err := out.Error(); err != nil { // carries the first error of all
		return fmt.Errorf("report: writing CSV: %w", err)
	}
	return nil
}

func summaryRow(o Outcome) []string {
	row := map[string]string{"file": escapeFormula(Printable(o.File)), "error": o.Problem}
	if r := o.Report; r != nil {
		number := func(name string, v float64) { row[name] = string(appendNumber(nil, v)) }
		told := func(name string, v Speed) {
			if v.Told() {
				number(name, float64(v))
			}
		}
		row["code"], row["says"], row["sha256"] = r.Verdict.Code, r.Verdict.Says, r.Clip.SHA256
		told("max_rpm", r.Limits.MaxRPM)
		told("other_reading_rpm", r.Verdict.OtherReadingRPM)
		number("duration_s", r.Clip.DurationS)
		number("clipped_pct", r.Quality.ClippedPct)
		if r.Quality.SNRdB != nil {
			number("snr_db", *r.Quality.SNRdB)
		}
		if _, known := o.overLimit(); known { // of the columns beside it, which are not rounded for people
			number("over_limit_rpm", engine.Round(float64(r.TopEnd.SustainedRPM-r.Limits.MaxRPM), perRPM))
		}
		var problems, findings []string
		for _, p := range r.Quality.Problems {
			problems = append(problems, p.Code)
		}
		for _, f := range r.Verdict.Findings {
			findings = append(findings, f.Code)
		}
		row["problems"], row["findings"] = strings.Join(problems, " "), strings.Join(findings, " ")
		summaryFigures(r, number, told)
	}
	cells := make([]string, len(summaryHeader))
	for i, name := range summaryHeader {
		cells[i] = OneLine(row[name])
	}
	return cells
}

// summaryFigures fills in the figures of the pass.
func summaryFigures(r *Report, number func(string, float64), told func(string, Speed)) {
	if t := r.TopEnd; t != nil {
		told("sustained_rpm", t.SustainedRPM)
		number("sd_rpm", t.SDRPM)
		told("peak_rpm", t.PeakRPM)
		number("four_stroking_share", t.FourStrokingShare)
		number("clean_share", t.CleanShare)
	}
	if r.Idle != nil {
		told("idle_rpm", r.Idle.RPM)
		number("idle_sd_rpm", r.Idle.SDRPM)
	}
	if r.Rise != nil {
		number("rise_s", r.Rise.TimeS)
	}
	if r.Fall != nil && r.Fall.Back {
		number("fall_s", r.Fall.TimeS)
	}
	if r.Cut != nil {
		told("cut_rpm", r.Cut.RPM)
		number("cut_four_stroking_share", r.Cut.FourStrokingShare)
	}
}

// escapeFormula puts ./ before a file name that a spreadsheet would read as a
// formula; it is still the same file.
func escapeFormula(file string) string {
	if file != "" && file != "-" && strings.ContainsRune("=+-@", rune(file[0])) {
		return "./" + file
	}
	return file
}

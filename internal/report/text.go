package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"topnote/internal/engine"
)

// TextStyle says how text for people is laid out. Colour never carries meaning
// alone: without it the words are the same.
type TextStyle struct {
	Colour  bool // mark up with the terminal's own colours; for a terminal only
	Columns int  // 40 or more; lines are wrapped to it, tables keep within 72
}

// DefaultColumns is the width of a page of text when nothing narrower is known.
const DefaultColumns = 80

// WriteText writes r for a person to read: the verdict's sentence first, then
// the speed against the limit, then what to do, what stands in the way of a
// surer answer, what to take care of, what was heard and when, and the recording. It returns the first error of w.
func WriteText(w io.Writer, r Report, style TextStyle) error {
	p := page{out: bufio.NewWriter(w), style: style}
	p.verdict(r.Verdict)
	p.speed(r)
	p.list(headAdvice, r.Verdict.Advice, numbered)
	p.list(headFindings, saysFindings(r.Verdict.Findings), bulleted)
	p.list(headProblems, saysProblems(r.Quality.Problems), bulleted)
	p.list(headCautions, r.Verdict.Cautions, bulleted)
	p.figures(r)
	p.phases(r.Phases)
	p.recording(r)
	if err := p.out.Flush(); err != nil { // carries the first error of all
		return fmt.Errorf("report: writing text: %w", err)
	}
	return nil
}

// page writes blocks of text, each after an empty line.
type page struct {
	out   *bufio.Writer
	style TextStyle
}

// The terminal's attributes, by ECMA-48 (select graphic rendition): bold, and
// bold with one of the eight basic colours.
const (
	plain      = "\x1b[0m"
	bold       = "\x1b[1m"
	boldRed    = "\x1b[1;31m"
	boldGreen  = "\x1b[1;32m"
	boldYellow = "\x1b[1;33m"
)

func (p page) paint(attribute, text string) string {
	if !p.style.Colour {
		return text
	}
	return attribute + text + plain
}

func (p page) verdict(v Verdict) {
	sentence := strings.TrimSuffix(wrap(v.Says, "", p.style.Columns), "\n")
	fmt.Fprintln(p.out, p.paint(verdictColour(v), sentence))
	fmt.Fprintf(p.out, "(%s)\n", Printable(v.Code))
	if v.OtherReadingRPM.Told() {
		p.out.WriteString(wrap(saysOther(v.OtherReadingRPM), "", p.style.Columns))
	}
}

func (p page) heading(text string) {
	fmt.Fprintf(p.out, "\n%s\n", p.paint(bold, text))
}

// row writes a named figure; the name's column is as wide as the longest name.
func (p page) row(name, text string) {
	p.out.WriteString(wrap(text, fmt.Sprintf("  %-15s", name), p.style.Columns))
}

func (p page) speed(r Report) {
	if r.TopEnd == nil {
		return
	}
	t := *r.TopEnd
	p.heading(headSpeed)
	p.row(rowHeld, saysHeld(t))
	p.row(rowLimit, saysAgainst(r))
	p.row(rowPeak, saysPeak(t))
	p.row(rowHeard, fmt.Sprintf("%.1f s to %.1f s", t.FromS, t.ToS))
	p.row(rowFiring, saysFiring(t))
}

func (p page) figures(r Report) {
	if r.Idle == nil && r.Rise == nil && r.Cut == nil && r.Fall == nil {
		return
	}
	p.heading(headFigures)
	if r.Idle != nil {
		p.row(rowIdle, saysIdle(*r.Idle))
	}
	if r.Rise != nil {
		p.row(rowRise, saysRise(*r.Rise))
	}
	if r.Cut != nil {
		p.row(rowCut, saysCut(*r.Cut))
	}
	if r.Fall != nil {
		p.row(rowFall, saysFall(*r.Fall))
	}
}

func bulleted(int) string   { return "  - " }
func numbered(i int) string { return fmt.Sprintf("  %d. ", i+1) }

func (p page) list(heading string, items []string, mark func(int) string) {
	if len(items) == 0 {
		return
	}
	p.heading(heading)
	for i, item := range items {
		p.out.WriteString(wrap(item, mark(i), p.style.Columns))
	}
}

func (p page) phases(phases []Phase) {
	if len(phases) == 0 {
		return
	}
	p.heading(headPhases)
	const layout = "  %-14s %7s %7s %8s %8s %8s %8s\n"
	fmt.Fprintf(p.out, layout, "", "from s", "to s", "middle", "lowest", "highest", "4-stroke")
	for _, ph := range phases {
		share := "-"
		if ph.RPMMedian.Told() {
			share = engine.FormatShare(ph.FourStrokingShare)
		}
		fmt.Fprintf(p.out, layout, phaseWords(Printable(ph.Kind)),
			fmt.Sprintf("%.1f", ph.FromS), fmt.Sprintf("%.1f", ph.ToS),
			ph.RPMMedian.Reading(), ph.RPMMin.Reading(), ph.RPMMax.Reading(), share)
	}
}

func (p page) recording(r Report) {
	p.heading(headRecording)
	p.row(rowFile, Printable(r.Clip.File))
	p.row(rowSound, saysSound(r.Clip))
	p.row(rowEngine, saysEngine(r.Engine))
	p.row(rowQuality, saysQuality(r.Quality))
	for _, remark := range r.Clip.Remarks {
		p.row(rowRemark, remark)
	}
}

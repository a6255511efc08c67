package report

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"topnote/internal/engine"
)

// LargeFigure is a figure in large letters: "held 0.5 s", "12,930", "rpm" and a note
// under it.
type LargeFigure struct {
	Name, Value, Unit, Note string
}

// largeFigures gives the sustained speed, the limit and their difference; nothing
// without a sustained speed.
func largeFigures(r Report) []LargeFigure {
	if r.TopEnd == nil {
		return nil
	}
	held, limit := r.TopEnd.SustainedRPM, r.Limits.MaxRPM
	list := []LargeFigure{{nameTop, held.Reading(), "rpm", saysOff(*r.TopEnd)}}
	if !limit.Told() {
		return append(list, LargeFigure{"limit", "none", "", "no limit was entered"})
	}
	over, side := r.margin(), "below the limit"
	if held > limit {
		side = "above the limit"
	}
	return append(list,
		LargeFigure{"limit", limit.String(), "rpm", limitNote(r)},
		LargeFigure{side, engine.FormatWhole(math.Abs(over)), "rpm", fmt.Sprintf("%.1f %% of the limit", 100*math.Abs(over)/float64(limit))})
}

// limitNote says what the limit is, as far as it is more than a maximum of the engine.
func limitNote(r Report) string {
	entered := Query(r.Engine, r.Limits).Entered()
	var parts []string
	if r.Engine.LimitIs == engine.SetTo {
		parts = append(parts, fmt.Sprintf("set-to figure, ± %s", engine.FormatWhole(r.Engine.Tolerance)))
	}
	if r.Engine.LimitOf == engine.OfSpindle {
		parts = append(parts, fmt.Sprintf("%s at the spindle", engine.FormatWhole(entered.Limits.Max)))
	}
	return cmp.Or(strings.Join(parts, "; "), "as entered")
}

// The rows of a pass that the text and the page share, each with its name.

// topRows gives the figures at full throttle.
func topRows(r Report) [][2]string {
	if r.TopEnd == nil {
		return nil
	}
	return [][2]string{
		{rowHeld, saysHeld(*r.TopEnd)},
		{rowLimit, saysAgainst(r)},
		{rowPeak, saysPeak(*r.TopEnd)},
		{rowHeard, fmt.Sprintf("%.1f s to %.1f s", r.TopEnd.FromS, r.TopEnd.ToS)},
		{rowFiring, saysFiring(*r.TopEnd, r.Engine)},
	}
}

// restRows gives the figures of the rest of the pass.
func restRows(r Report) (rows [][2]string) {
	if r.Idle != nil {
		rows = append(rows, [2]string{rowIdle, saysIdle(*r.Idle, r.Limits, r.TopEnd != nil)})
	}
	if r.Rise != nil {
		rows = append(rows, [2]string{rowRise, saysRise(*r.Rise)})
	}
	if r.Cut != nil {
		rows = append(rows, [2]string{rowCut, saysCut(*r.Cut, r.Engine)})
	}
	if r.Fall != nil {
		rows = append(rows, [2]string{rowFall, saysFall(*r.Fall)})
	}
	return rows
}

// phaseRows gives for each phase its name, its two times in s, its three speeds and
// its share of four-stroking; phaseColumns names all but the first.
func phaseRows(phases []Phase) (rows [][]string) {
	for _, ph := range phases {
		share := "-"
		if ph.RPMMedian.Told() {
			share = engine.FormatShare(ph.FourStrokingShare)
		}
		rows = append(rows, []string{phaseWords(Printable(ph.Kind)), engine.FormatTenth(ph.FromS), engine.FormatTenth(ph.ToS),
			ph.RPMMedian.Reading(), ph.RPMMin.Reading(), ph.RPMMax.Reading(), share})
	}
	return rows
}

// recordingRows gives what is known of the recording under this name.
func recordingRows(r Report, name string) [][2]string {
	rows := [][2]string{
		{rowFile, name},
		{rowSound, saysSound(r.Clip)},
		{rowEngine, saysEngine(r.Engine)},
		{rowQuality, saysQuality(r.Quality)},
	}
	for _, remark := range r.Clip.Remarks {
		rows = append(rows, [2]string{rowRemark, remark})
	}
	return rows
}

// Table is a table of a page; each row begins with its name.
type Table struct {
	Caption string
	Columns []string // empty: name and text
	Rows    [][]string
	Means   []string // sentences under the table
}

// namedTable makes a table of rows with a name and a text.
func namedTable(caption string, rows [][2]string) Table {
	t := Table{Caption: caption}
	for _, row := range rows {
		t.add(row[0], row[1])
	}
	return t
}

// add adds a row; a number stays on one line with its unit.
func (t *Table) add(cells ...string) {
	together := strings.NewReplacer(" rpm", "\u00a0rpm", " %", "\u00a0%", " ± ", "\u00a0±\u00a0")
	for i, cell := range cells {
		cells[i] = together.Replace(cell)
	}
	t.Rows = append(t.Rows, cells)
}

func (t Table) empty() bool { return len(t.Rows) == 0 }

func phaseTable(r Report) Table {
	t := Table{Caption: headPhases, Columns: append([]string{"phase"}, phaseColumns(r.Engine)...)}
	for _, row := range phaseRows(r.Phases) {
		t.add(row...)
	}
	return t
}

// factTable holds what is known of the recording.
func factTable(r Report) Table {
	t := namedTable(headFacts, recordingRows(r, fileName(r.Clip)))
	t.add("SHA-256", r.Clip.SHA256)
	return t
}

// passTable gives the passes of a comparison with their own verdicts.
func passTable(c Comparison) Table {
	t := Table{Caption: headPasses, Columns: []string{"pass", "verdict", rowHeld}}
	for i, p := range c.Passes {
		held := "-"
		if p.Report.TopEnd != nil {
			held = saysHeldShort(*p.Report.TopEnd)
		}
		t.add(saysPlace(i+1, p.Report.Clip), p.Report.Verdict.Headline(), held)
	}
	return t
}

// pairTable compares one pass with the first.
func pairTable(p Pair, e Engine) Table {
	t := Table{Caption: saysAgainstFirst(p.Pass), Columns: []string{"figure", Ordinal(1), Ordinal(p.Pass), "difference"}}
	for _, d := range p.Measured() {
		name := figureName(d.Figure, e)
		bare := func(cell string) string { return cell }
		if d.Unit != "share" { // narrow columns: the unit goes to the name
			name += ", " + d.Unit
			bare = func(cell string) string { return strings.TrimSuffix(cell, " "+d.Unit) }
		}
		t.add(name, bare(saysFigure(d.Unit, d.First)), bare(saysFigure(d.Unit, d.Second)), bare(saysDifference(d)))
		if d.Means != "" {
			t.Means = append(t.Means, d.Means)
		}
	}
	return t
}

package report

import (
	"fmt"
	"math"
	"strings"

	"topnote/internal/engine"
)

// LargeFigure is a figure that can be read at arm's length: "held 0.5 s",
// "12,930", "rpm" and a note under it.
type LargeFigure struct {
	Name, Value, Unit, Note string
}

// largeFigures gives the speed held at full throttle, the limit, and how the
// one stands to the other; nothing where no speed was held.
func largeFigures(r Report) []LargeFigure {
	if r.TopEnd == nil {
		return nil
	}
	held, limit := r.TopEnd.SustainedRPM, r.Limits.MaxRPM
	list := []LargeFigure{{rowHeld, held.Reading(), "rpm", "give or take " + engine.FormatHalfWidth(r.TopEnd.SDRPM) + " (95 in 100)"}}
	if !limit.Told() {
		return append(list, LargeFigure{"limit", "none", "", "no limit was entered"})
	}
	over := float64(held - limit)
	side := "below"
	if over > 0 {
		side = "above"
	}
	return append(list,
		LargeFigure{"limit", limit.String(), "rpm", "as entered"},
		LargeFigure{side + " the limit", engine.FormatTens(math.Abs(over)), "rpm", fmt.Sprintf("%.1f %% of the limit", 100*math.Abs(over)/float64(limit))})
}

// Table is a table of a page; each row begins with its name.
type Table struct {
	Caption string
	Columns []string // empty: name and text
	Rows    [][]string
	Means   []string // sentences under the table
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

// topTable holds the figures at full throttle.
func topTable(r Report) Table {
	t := Table{Caption: headSpeed}
	if r.TopEnd == nil {
		return t
	}
	t.add(rowHeld, saysHeld(*r.TopEnd))
	t.add(rowLimit, saysAgainst(r))
	t.add(rowPeak, saysPeak(*r.TopEnd))
	t.add(rowHeard, fmt.Sprintf("%.1f s to %.1f s", r.TopEnd.FromS, r.TopEnd.ToS))
	t.add(rowFiring, saysFiring(*r.TopEnd))
	return t
}

// restTable holds the figures of the rest of the pass.
func restTable(r Report) Table {
	t := Table{Caption: headFigures}
	if r.Idle != nil {
		t.add(rowIdle, saysIdle(*r.Idle))
	}
	if r.Rise != nil {
		t.add(rowRise, saysRise(*r.Rise))
	}
	if r.Cut != nil {
		t.add(rowCut, saysCut(*r.Cut))
	}
	if r.Fall != nil {
		t.add(rowFall, saysFall(*r.Fall))
	}
	return t
}

func phaseTable(phases []Phase) Table {
	t := Table{Caption: headPhases, Columns: []string{"phase", "from s", "to s", "middle", "lowest", "highest", "4-stroke"}}
	for _, ph := range phases {
		share := "-"
		if ph.RPMMedian.Told() {
			share = engine.FormatShare(ph.FourStrokingShare)
		}
		t.add(phaseWords(ph.Kind), fmt.Sprintf("%.1f", ph.FromS), fmt.Sprintf("%.1f", ph.ToS),
			ph.RPMMedian.Reading(), ph.RPMMin.Reading(), ph.RPMMax.Reading(), share)
	}
	return t
}

// factTable holds what is known of the recording.
func factTable(r Report) Table {
	t := Table{Caption: headFacts}
	t.add(rowFile, fileName(r.Clip))
	t.add(rowSound, saysSound(r.Clip))
	t.add(rowEngine, saysEngine(r.Engine))
	t.add(rowQuality, saysQuality(r.Quality))
	for _, remark := range r.Clip.Remarks {
		t.add(rowRemark, remark)
	}
	t.add("SHA-256", r.Clip.SHA256)
	return t
}

// passTable names the passes of a comparison with their own verdicts.
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

// pairTable holds one pass against the first.
func pairTable(p Pair) Table {
	t := Table{Caption: saysAgainstFirst(p.Pass), Columns: []string{"figure", Ordinal(1), Ordinal(p.Pass), "difference"}}
	for _, d := range p.Heard() {
		name := figureName(d.Figure)
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

package report

import (
	"fmt"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/verdict"
)

// Opening is one opening of the throttle, judged by itself: a row of a tuning
// session. Rows stand under one another, so that an eighth of a turn shows.
type Opening struct {
	FromS             float64 `json:"from_s"` // from the end of the idle before
	ToS               float64 `json:"to_s"`   // to the start of the idle after
	SustainedRPM      Speed   `json:"sustained_rpm"`
	SDRPM             float64 `json:"sd_rpm"`
	FourStrokingShare float64 `json:"four_stroking_share"` // 0 to 1, without load
	FourStrokingSD    float64 `json:"four_stroking_sd"`
	Code              string  `json:"code"` // a verdict.Code
}

// HalfWidthRPM is as TopEnd.HalfWidthRPM.
func (o Opening) HalfWidthRPM() float64 { return engine.HalfWidth(o.SDRPM) }

// NewOpening makes the row of an opening from what was measured of its stretch.
func NewOpening(from, to engine.Seconds, p pass.Summary, v verdict.Verdict) Opening {
	o := Opening{FromS: seconds(from), ToS: seconds(to), Code: string(v.Code)}
	if t := newTopEnd(p.TopEnd); t != nil {
		o.SustainedRPM, o.SDRPM = t.SustainedRPM, t.SDRPM
		o.FourStrokingShare, o.FourStrokingSD = t.FourStrokingShare, t.FourStrokingSD
	}
	return o
}

// OpeningOf gives the row of a report whose recording is one opening of the throttle.
func OpeningOf(r Report, from, to engine.Seconds) Opening {
	o := Opening{FromS: seconds(from), ToS: seconds(to), Code: r.Verdict.Code}
	if t := r.TopEnd; t != nil {
		o.SustainedRPM, o.SDRPM = t.SustainedRPM, t.SDRPM
		o.FourStrokingShare, o.FourStrokingSD = t.FourStrokingShare, t.FourStrokingSD
	}
	return o
}

// OpeningColumns names the figures that Cells gives.
func OpeningColumns(e Engine) []string {
	return []string{"from s", "to s", "top speed", "±", "to limit", e.missing(), "result"}
}

// Cells gives the figures of a row in words, limit 0: none was entered.
func (o Opening) Cells(limit Speed) []string {
	if !o.SustainedRPM.Told() {
		return []string{engine.FormatTenth(o.FromS), engine.FormatTenth(o.ToS), "-", "-", "-", "-", Printable(o.Code)}
	}
	toLimit := "-"
	if limit.Told() {
		toLimit = signed(float64(engine.Margin(o.SustainedRPM, limit)))
	}
	return []string{
		engine.FormatTenth(o.FromS), engine.FormatTenth(o.ToS), o.SustainedRPM.Reading(), engine.FormatWhole(o.HalfWidthRPM()),
		toLimit, engine.FormatShare(o.FourStrokingShare), Printable(o.Code),
	}
}

// OpeningLine lays out a row, or the names of its columns, as a line of text.
func OpeningLine(cells []string) string {
	return fmt.Sprintf("  %6s %6s %9s %5s %8s %13s  %s\n", cells[0], cells[1], cells[2], cells[3], cells[4], cells[5], cells[6])
}

// signed gives a whole number with its sign.
func signed(v float64) string {
	if v > 0 {
		return "+" + engine.FormatWhole(v)
	}
	return engine.FormatWhole(v)
}

// openingTable gives the openings of a report.
func openingTable(r Report) Table {
	t := Table{Caption: headOpenings, Columns: OpeningColumns(r.Engine)}
	for _, o := range r.Openings {
		t.add(o.Cells(r.Limits.MaxRPM)...)
	}
	return t
}

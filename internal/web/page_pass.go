package web

import (
	"net/http"

	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/report"
)

// showPass shows a pass of the book. Its sound is not kept there.
func (s *Server) showPass(w http.ResponseWriter, r *http.Request) error {
	m, pass, err := s.pass(r.PathValue("machine"), r.PathValue("pass"))
	if err != nil {
		return err
	}
	title := saysPassOf(pass.Number, m.Name)
	p := resultPage{
		pageFrame: newPageFrame("/book", title, "result.js"),
		Report:    pass.Report, View: report.NewView(pass.Report), From: title + ", " + saysDay(pass.Recorded),
		Scale: newScale(pass.Report), Trace: newTrace(title, pass.Report, nil), Day: dayOf(pass, r),
	}
	return render(w, http.StatusOK, "result.html", p)
}

// dayOf gives what was noted of the day of a pass.
func dayOf(p book.Pass, r *http.Request) report.Table {
	t := report.Table{Caption: headDay}
	add := func(name, text string) {
		if text != "" {
			t.Rows = append(t.Rows, []string{name, text})
		}
	}
	if p.Air != nil {
		add("air", p.Air.Text(unitsOf(r)))
	}
	add("screws, turns out", p.Screws.String())
	add("air filter", p.FilterNote)
	add("fuel", p.FuelNote)
	add("recorded by", p.Who)
	return t
}

// whyPage explains one pass by another.
type whyPage struct {
	pageFrame
	Path   string // of the machine
	Why    diagnose.Explanation
	Sides  report.Table
	Parts  report.Table
	Causes []diagnose.Ranked
}

func (s *Server) showWhy(w http.ResponseWriter, r *http.Request) error {
	from, err := passNumber(r, "from")
	if err != nil {
		return err
	}
	to, err := passNumber(r, "to")
	if err != nil {
		return err
	}
	e, err := s.why(r.PathValue("machine"), from, to)
	if err != nil {
		return err
	}
	p := whyPage{
		pageFrame: newPageFrame("/book", headWhy, ""), Path: pathTo("book", e.Machine), Why: e, Causes: e.Likely(),
		Sides: headed(headSides, e.Sides()), Parts: headed(headParts, e.PartRows()),
	}
	return render(w, http.StatusOK, "why.html", p)
}

// headed makes a table of rows of which the first holds the headings.
func headed(caption string, rows [][]string) report.Table {
	if len(rows) == 0 {
		return report.Table{}
	}
	return report.Table{Caption: caption, Columns: rows[0], Rows: rows[1:]}
}

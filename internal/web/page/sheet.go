package page

import (
	"html/template"
	"net/http"

	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/verdict"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// sheetPage is a result on one page of paper, to hang at the bench or hand over.
type sheetPage struct {
	frame
	Report  report.Report
	View    report.View
	From    string
	Day     string
	Picture template.HTML
	Back    string
}

// showSheet shows a measured clip as it is printed.
func (p *Pages) showSheet(w http.ResponseWriter, r *http.Request) error {
	j, ok := p.Queue.Get(r.PathValue("id"))
	if !ok || j.State != jobs.Done {
		return fault.NoJob()
	}
	picture, err := p.inline(r, j.Result.Inline)
	if err != nil {
		return err
	}
	page := sheetPage{
		frame:  newFrame("/", headSheet+": "+j.Name, "print.js"),
		Report: j.Result.Report, View: report.NewView(j.Result.Report), From: saysFrom(j), Day: saysDay(j.Recorded),
		Picture: picture, Back: j.Page(),
	}
	return render(w, http.StatusOK, "sheet.html", page)
}

// showPassSheet shows a pass of the book as it is printed.
func (p *Pages) showPassSheet(w http.ResponseWriter, r *http.Request) error {
	m, pass, err := p.Books.Pass(r.PathValue("machine"), r.PathValue("pass"))
	if err != nil {
		return err
	}
	title := saysPassOf(pass.Number, m.Name)
	page := sheetPage{
		frame:  newFrame("/book", headSheet+": "+title, "print.js"),
		Report: pass.Report, View: report.NewView(pass.Report), From: title, Day: saysDay(pass.Recorded),
		Back: pathTo("book", m.Name, "p", r.PathValue("pass")),
	}
	return render(w, http.StatusOK, "sheet.html", page)
}

// blankPage is the empty record sheet.
type blankPage struct {
	frame
	Rows     []int
	Cautions []string
}

// showBlank shows the record sheet to fill in by hand.
func (p *Pages) showBlank(w http.ResponseWriter, _ *http.Request) error {
	const rows = 9 // as many as one page holds
	page := blankPage{frame: newFrame("/", headBlank, "print.js"), Rows: make([]int, rows), Cautions: verdict.Cautions(engine.KindUnknown)}
	return render(w, http.StatusOK, "blank.html", page)
}

package page

import (
	"net/http"
	"net/url"

	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/report"
	"topnote/internal/web/books"
	"topnote/internal/web/jobs"
)

// showPass shows a pass of the book, with its sound where the book keeps that.
func (p *Pages) showPass(w http.ResponseWriter, r *http.Request) error {
	m, pass, err := p.Books.Pass(r.PathValue("machine"), r.PathValue("pass"))
	if err != nil {
		return err
	}
	title, path := saysPassOf(pass.Number, m.Name), pathTo("book", m.Name, "p", r.PathValue("pass"))
	page := resultPage{
		CareLine: saysCare, Again: "/?" + url.Values{jobs.FieldMachine: {m.Name}}.Encode(), Back: pathTo("book", m.Name),
		frame:  newFrame("/book", title, "result.js"),
		Report: pass.Report, View: report.NewView(pass.Report), From: title + ", " + saysDay(pass.Recorded),
		Scale: newScale(pass.Report), Trace: newTrace(title, pass.Report, nil), Day: dayOf(pass, r),
		Reply: replyFromBook(pass, m.Name), Why: pathTo("book", m.Name) + "#why-head", Sheet: path + "/sheet",
	}
	if page.Kept, err = p.soundOf(pass, path); err != nil {
		return err
	}
	if page.Kept != nil {
		page.Sound = path + "/sound"
	}
	if r.FormValue("said") == "forgotten" {
		page.Said = saidForgotten
	}
	return render(w, http.StatusOK, "result.html", page)
}

// dayOf gives what was noted of the day of a pass.
func dayOf(pass book.Pass, r *http.Request) report.Table {
	t := report.Table{Caption: headDay}
	add := func(name, text string) {
		if text != "" {
			t.Rows = append(t.Rows, []string{name, text})
		}
	}
	if pass.Air != nil {
		add("air", pass.Air.Text(unitsOf(r)))
	}
	add("screws", pass.Screws.String())
	add("tachometer", pass.SaysTachometer())
	add("air filter", pass.FilterNote)
	add("fuel", pass.FuelNote)
	add("recorded by", pass.Who)
	return t
}

// whyPage explains one pass by another.
type whyPage struct {
	frame
	Headline string
	Path     string // of the machine
	Why      diagnose.Explanation
	Sides    report.Table
	Parts    report.Table
	Causes   []cause
}

// cause is a cause with what its methods say: templates call no methods (the program
// for a phone is built without that, see .ci/page.go).
type cause struct {
	diagnose.RankedCause
	Headline, Particulars string
}

func causesOf(e diagnose.Explanation) (list []cause) {
	for _, c := range e.Likely() {
		list = append(list, cause{c, c.Headline(), c.Particulars()})
	}
	return list
}

func (p *Pages) showWhy(w http.ResponseWriter, r *http.Request) error {
	query := r.URL.Query()
	from, err := books.ParseNumber("from", query.Get("from"))
	if err != nil {
		return err
	}
	to, err := books.ParseNumber("to", query.Get("to"))
	if err != nil {
		return err
	}
	e, err := p.Books.Why(r.PathValue("machine"), from, to)
	if err != nil {
		return err
	}
	page := whyPage{
		frame: newFrame("/book", headWhy, ""), Path: pathTo("book", e.Machine), Why: e, Headline: e.Headline(), Causes: causesOf(e),
		Sides: headed(headSides, e.Sides()), Parts: headed(headParts, e.PartRows()),
	}
	return render(w, http.StatusOK, "why.html", page)
}

// headed makes a table of rows of which the first holds the headings.
func headed(caption string, rows [][]string) report.Table {
	if len(rows) == 0 {
		return report.Table{}
	}
	return report.Table{Caption: caption, Columns: rows[0], Rows: rows[1:]}
}

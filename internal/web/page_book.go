package web

import (
	"fmt"
	"html/template"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/picture"
	"topnote/internal/report"
)

// bookPage is the page of all machines.
type bookPage struct {
	pageFrame
	Machines []listed
	New      figureFields
}

// listed is an entry of a list that leads somewhere.
type listed struct {
	Path, Name, Says string
	Number           int64
	Day              string
	Chosen           bool
}

func (s *Server) showBook(w http.ResponseWriter, r *http.Request) error {
	return s.renderBook(w, typedFields(nil), nil)
}

// renderBook shows the book; refused is what was wrong with the machine that was
// entered, nil for nothing.
func (s *Server) renderBook(w http.ResponseWriter, typed figureFields, refused error) error {
	machines, err := s.machines()
	if err != nil {
		return err
	}
	p := bookPage{pageFrame: newPageFrame("/book", headBook, ""), New: typed}
	for _, m := range machines {
		p.Machines = append(p.Machines, listed{Path: pathTo("book", m.Name), Name: m.Name, Says: saysMachine(m)})
	}
	status := s.refused(&p.pageFrame, refused)
	return render(w, status, "book.html", p)
}

// sendMachine writes a new machine into the book.
func (s *Server) sendMachine(w http.ResponseWriter, r *http.Request) error {
	if err := s.readEntries(w, r); err != nil {
		return err
	}
	m, err := s.machineFrom(r.PostForm)
	if err == nil {
		m, err = s.enterMachine(m)
	}
	if err != nil {
		return s.renderBook(w, typedFields(r.PostForm), err)
	}
	http.Redirect(w, r, pathTo("book", m.Name)+"?said=entered", http.StatusSeeOther)
	return nil
}

// machinePage is the page of a machine with its passes.
type machinePage struct {
	pageFrame
	Name, Says, Notes string
	Path, Query       string
	Next              string // move of H
	Picture           template.HTML
	Table             report.Table
	TrendNotes        []string
	Passes            []listed // the newest first
	CanAsk            bool     // why it runs otherwise
	WhyPath           string
	From, To          []listed
	Edit              figureFields
	Edits             []string
	Cautions          []string
}

func (s *Server) showMachine(w http.ResponseWriter, r *http.Request) error {
	return s.renderMachine(w, r, nil)
}

// renderMachine shows a machine; refused is what was wrong with a change of it,
// nil for nothing.
func (s *Server) renderMachine(w http.ResponseWriter, r *http.Request, refused error) error {
	m, passes, err := s.passes(r.PathValue("machine"))
	if err != nil {
		return err
	}
	path := pathTo("book", m.Name)
	p := machinePage{
		pageFrame: newPageFrame("/book", m.Name, ""), Name: m.Name, Says: saysMachine(m), Notes: m.Notes,
		Path: path, Query: m.Name, WhyPath: path + "/why", Edit: fieldsOf(m),
	}
	p.list(passes, path)
	if err := s.addTrend(r, &p, m, passes); err != nil {
		return err
	}
	if p.Edits, err = s.edits(m.Name); err != nil {
		return err
	}
	p.Said = saidOf(r.URL.Query(), m, passes)
	if refused != nil {
		p.Edit = typedFields(r.PostForm)
	}
	status := s.refused(&p.pageFrame, refused)
	return render(w, status, "machine.html", p)
}

// list puts the passes into the lists of the page.
func (p *machinePage) list(passes []book.Pass, path string) {
	var count []listed // those that count
	for _, one := range passes {
		number := strconv.FormatInt(one.Number, 10)
		l := listed{Path: path + "/p/" + number, Number: one.Number, Day: saysDay(one.Recorded), Says: saysPass(one)}
		p.Passes = append(p.Passes, l)
		if one.ReplacedBy == 0 {
			count = append(count, l)
		}
	}
	slices.Reverse(p.Passes)
	if n := len(count); n >= 2 {
		p.CanAsk = true
		p.From, p.To = slices.Clone(count[:n-1]), slices.Clone(count[1:])
		p.From[n-2].Chosen, p.To[n-2].Chosen = true, true
	}
}

// addTrend puts the passes in a row, where there are any.
func (s *Server) addTrend(r *http.Request, p *machinePage, m book.Machine, passes []book.Pass) error {
	if len(passes) == 0 {
		return nil
	}
	t := diagnose.NewTrend(m, passes, diagnose.Default())
	p.Next, p.TrendNotes, p.Cautions = t.Next.Says, t.Notes, t.Cautions
	p.Table = headed("Pass by pass", t.Rows())
	var err error
	p.Picture, err = s.inline(r, func(w io.Writer) error { return picture.InlineTrend(w, TrendPicture(t)) })
	return err
}

// edits gives what was changed in a machine, the newest first.
func (s *Server) edits(name string) ([]string, error) {
	b, err := s.books.read()
	if err != nil {
		return nil, err
	}
	history, err := b.History(name)
	var says []string
	for _, e := range slices.Backward(history) {
		says = append(says, e.Says())
	}
	return says, err
}

// saidOf says what was done before this page was shown, as its address has it.
func saidOf(q url.Values, m book.Machine, passes []book.Pass) string {
	switch q.Get("said") {
	case "entered":
		return saidMachine
	case "changed":
		return saidChanged
	}
	for _, p := range passes {
		if q.Get("stored") == fmt.Sprint(p.Number) {
			return saysStored(p.Number, m.Name, p.Report.Limits == m.Limits && p.Report.Engine == m.Engine)
		}
	}
	return ""
}

// changeMachine changes a machine in the book.
func (s *Server) changeMachine(w http.ResponseWriter, r *http.Request) error {
	if err := s.readEntries(w, r); err != nil {
		return err
	}
	after, err := s.machineFrom(r.PostForm)
	if err != nil {
		return s.renderMachine(w, r, err)
	}
	b, err := s.books.read()
	if err != nil {
		return err
	}
	err = b.EditMachine(r.PathValue("machine"), r.PostForm.Get("who"), func(book.Machine) (book.Machine, error) { return after, nil })
	if err != nil {
		return s.renderMachine(w, r, err)
	}
	http.Redirect(w, r, pathTo("book", after.Name)+"?said=changed", http.StatusSeeOther)
	return nil
}

package page

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
	"topnote/internal/web/books"
)

// bookPage is the page of all machines.
type bookPage struct {
	frame
	Machines []listed
	New      figureFields
	Carried  string // which recordings go along with the book
}

// listed is an entry of a list that leads somewhere.
type listed struct {
	Path, Name, Says string
	Number           int64
	Day              string
	Kept             string // of a pass: its recording; "" for none
	Chosen           bool
}

func (p *Pages) showBook(w http.ResponseWriter, r *http.Request) error {
	return p.renderBook(w, typedFields(nil), saysBrought(r.URL.Query()), nil)
}

// renderBook shows the book; refused is what was wrong with the machine that was
// entered, nil for nothing.
func (p *Pages) renderBook(w http.ResponseWriter, typed figureFields, said string, refused error) error {
	machines, err := p.Books.Machines()
	if err != nil {
		return err
	}
	page := bookPage{frame: newFrame("/book", headBook, ""), New: typed}
	for _, m := range machines {
		page.Machines = append(page.Machines, listed{Path: pathTo("book", m.Name), Name: m.Name, Says: saysMachine(m)})
	}
	page.Said = said
	if len(machines) > 0 {
		carried, err := p.Books.Carried()
		if err != nil {
			return err
		}
		page.Carried = saysCarried(carried)
	}
	status := p.setProblem(&page.frame, refused)
	return render(w, status, "book.html", page)
}

// sendMachine writes a new machine into the book.
func (p *Pages) sendMachine(w http.ResponseWriter, r *http.Request) error {
	if err := p.readEntries(w, r); err != nil {
		return err
	}
	m, err := p.machineFrom(r.PostForm)
	if err == nil {
		m, err = p.Books.AddMachine(m)
	}
	if err != nil {
		return p.renderBook(w, typedFields(r.PostForm), "", err)
	}
	http.Redirect(w, r, pathTo("book", m.Name)+"?said=entered", http.StatusSeeOther)
	return nil
}

// machinePage is the page of a machine with its passes.
type machinePage struct {
	frame
	Name, Says, Notes string
	Path, Query       string
	Next              string // move of H
	Picture           template.HTML
	Table             report.Table
	TrendNotes        []string
	Lessons           []string // why it ran so, and what the next eighth of a turn does
	Passes            []listed // the newest first
	CanAsk            bool     // why it runs otherwise
	WhyPath           string
	From, To          []listed
	First, Second     []listed // passes whose recordings can be compared; none where there are not two
	ComparePath       string
	Edit              figureFields
	Edits             []string
	Cautions          []string
}

func (p *Pages) showMachine(w http.ResponseWriter, r *http.Request) error {
	return p.renderMachine(w, r, nil)
}

// renderMachine shows a machine; refused is what was wrong with a change of it,
// nil for nothing.
func (p *Pages) renderMachine(w http.ResponseWriter, r *http.Request, refused error) error {
	m, passes, err := p.Books.Passes(r.PathValue("machine"))
	if err != nil {
		return err
	}
	path := pathTo("book", m.Name)
	page := machinePage{
		frame: newFrame("/book", m.Name, ""), Name: m.Name, Says: saysMachine(m), Notes: m.Notes,
		Path: path, Query: m.Name, WhyPath: path + "/why", ComparePath: path + "/compare", Edit: fieldsOf(m),
	}
	page.list(passes, path)
	sounds, err := p.Books.Sounds()
	if err != nil {
		return err
	}
	page.listKept(passes, sounds)
	if err := p.addTrend(r, &page, m, passes); err != nil {
		return err
	}
	if page.Edits, err = p.edits(m.Name); err != nil {
		return err
	}
	page.Said = saidOf(r.URL.Query(), m, passes)
	if refused != nil {
		page.Edit = typedFields(r.PostForm)
	}
	status := p.setProblem(&page.frame, refused)
	return render(w, status, "machine.html", page)
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

// addTrend adds the trend over the passes, where there are any.
func (p *Pages) addTrend(r *http.Request, page *machinePage, m book.Machine, passes []book.Pass) error {
	if len(passes) == 0 {
		return nil
	}
	t := diagnose.NewTrend(m, passes, diagnose.Default())
	page.Next, page.Lessons, page.TrendNotes, page.Cautions = t.Next.Says, t.Lessons, t.Notes, t.Cautions
	page.Table = headed(headTrend, t.Rows())
	var err error
	page.Picture, err = p.inline(r, func(w io.Writer) error { return picture.InlineTrend(w, books.TrendPicture(t)) })
	return err
}

// edits gives what was changed in a machine, the newest first.
func (p *Pages) edits(name string) ([]string, error) {
	_, history, err := p.Books.Edits(name)
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
func (p *Pages) changeMachine(w http.ResponseWriter, r *http.Request) error {
	if err := p.readEntries(w, r); err != nil {
		return err
	}
	after, err := p.machineFrom(r.PostForm)
	if err != nil {
		return p.renderMachine(w, r, err)
	}
	if after, err = p.Books.EditMachine(r.PathValue("machine"), r.PostForm.Get("who"), after); err != nil {
		return p.renderMachine(w, r, err)
	}
	http.Redirect(w, r, pathTo("book", after.Name)+"?said=changed", http.StatusSeeOther)
	return nil
}

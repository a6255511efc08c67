package page

import (
	"net/http"
	"net/url"

	"topnote/internal/engine"
	"topnote/internal/verdict"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// newPassPage is the page of a new pass.
type newPassPage struct {
	frame
	Machines []figureFields
	Machine  string
	Figures  figureFields
	Air      airFields
	Entered  map[string]string // screws and notes: none yet
	Cautions []string
	Place    string // where the phone goes
}

// showNew shows the page of a new pass, filled with what the address has: a
// machine, or figures.
func (p *Pages) showNew(w http.ResponseWriter, r *http.Request) error {
	machines, err := p.machineFields()
	page := newPassPage{frame: newFrame("/", headNew, "new.js"), Machines: machines, Figures: typedFields(r.URL.Query())}
	if err != nil { // it can still be measured
		page.Problem = fault.Log(p.Log, err).Sentence()
	}
	for _, m := range machines {
		if m.Name == r.FormValue(jobs.FieldMachine) {
			page.Machine = m.Name
			if r.FormValue(jobs.FieldLimit) == "" {
				page.Figures = m
			}
		}
	}
	kind := engine.Kind(page.Figures.Data["kind"])
	page.Cautions, page.Place = verdict.Cautions(kind), verdict.Place(kind)
	page.Air = newAirFields("", unitsOf(r), func(string) string { return "" })
	return render(w, http.StatusOK, "new.html", page)
}

// sendClip takes a recording from the form, for browsers without scripts.
func (p *Pages) sendClip(w http.ResponseWriter, r *http.Request) error {
	j, err := p.Intake.Receive(w, r)
	if err != nil {
		return err
	}
	http.Redirect(w, r, j.Page(), http.StatusSeeOther)
	return nil
}

// againClip measures a recording that is here with other figures.
func (p *Pages) againClip(w http.ResponseWriter, r *http.Request) error {
	if err := p.readEntries(w, r); err != nil {
		return err
	}
	fields := map[string]string{jobs.FieldMachine: r.PostForm.Get(jobs.FieldMachine)}
	for _, name := range jobs.EngineFields() {
		fields[name] = r.PostForm.Get(name)
	}
	j, err := p.Intake.Again(r, r.PathValue("id"), fields)
	if err != nil {
		return err
	}
	http.Redirect(w, r, j.Page(), http.StatusSeeOther)
	return nil
}

// pathTo makes an address on this server from the parts of its path.
func pathTo(parts ...string) string {
	path := ""
	for _, p := range parts {
		path += "/" + url.PathEscape(p)
	}
	return path
}

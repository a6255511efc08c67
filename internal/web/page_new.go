package web

import (
	"net/http"
	"net/url"

	"topnote/internal/air"
	"topnote/internal/verdict"
)

// newPassPage is the page of a new pass.
type newPassPage struct {
	pageFrame
	Machines []figureFields
	Machine  string
	Figures  figureFields
	Air      airFields
	Entered  map[string]string // screws and notes: none yet
	Cautions []string
}

// showNew shows the page of a new pass, with what an address has for its
// fields: a machine, or figures.
func (s *Server) showNew(w http.ResponseWriter, r *http.Request) error {
	machines, err := s.machineFields()
	p := newPassPage{pageFrame: newPageFrame("/", headNew, "new.js"), Machines: machines, Figures: typedFields(r.URL.Query()), Cautions: verdict.Cautions()}
	if err != nil { // it can still be measured
		p.Problem = s.noted(err).sentence()
	}
	for _, m := range machines {
		if m.Name == r.FormValue(fieldMachine) {
			p.Machine = m.Name
			if r.FormValue(fieldLimit) == "" {
				p.Figures = m
			}
		}
	}
	p.Air = newAirFields("", unitsOf(r), func(string) string { return "" })
	return render(w, http.StatusOK, "new.html", p)
}

// sendClip takes a recording from the form, for browsers without scripts.
func (s *Server) sendClip(w http.ResponseWriter, r *http.Request) error {
	j, err := s.receive(w, r)
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/clips/"+j.ID, http.StatusSeeOther)
	return nil
}

// againClip measures a recording that is here with other figures.
func (s *Server) againClip(w http.ResponseWriter, r *http.Request) error {
	if err := s.readEntries(w, r); err != nil {
		return err
	}
	fields := map[string]string{}
	for _, name := range []string{fieldLimit, fieldIdle, fieldClutch, fieldStrokes, fieldCylinders, fieldMachine} {
		fields[name] = r.PostForm.Get(name)
	}
	j, err := s.again(r, r.PathValue("id"), fields)
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/clips/"+j.ID, http.StatusSeeOther)
	return nil
}

// airText gives the air that was entered in a form as storing takes it; "" for
// none.
func airText(r *http.Request, u air.Units) (string, error) {
	reading, err := readingFrom(r, "", u)
	if err != nil || reading == nil {
		return "", err
	}
	return reading.String(), nil
}

// pathTo makes an address on this server from the parts of its path.
func pathTo(parts ...string) string {
	path := ""
	for _, p := range parts {
		path += "/" + url.PathEscape(p)
	}
	return path
}

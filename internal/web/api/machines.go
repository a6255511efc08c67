package api

import (
	"io"
	"net/http"

	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/picture"
	"topnote/internal/web/fault"
)

func (a *API) bookRoutes() []Route {
	return []Route{
		{"GET", "/machines", a.getMachines},
		{"POST", "/machines", a.postMachine},
		{"GET", "/machines/{name}", a.getMachine},
		{"PUT", "/machines/{name}", a.putMachine},
		{"GET", "/machines/{name}/passes", a.getPasses},
		{"POST", "/machines/{name}/passes", a.postPass},
		{"GET", "/machines/{name}/passes/{number}", a.getPass},
		{"GET", "/machines/{name}/passes/{number}/sound", a.getSound},
		{"PUT", "/machines/{name}/passes/{number}/sound", a.putSound},
		{"DELETE", "/machines/{name}/passes/{number}/sound", a.deleteSound},
		{"GET", "/machines/{name}/trend", a.getTrend(fault.TypeJSON, func(w io.Writer, t diagnose.Trend) error { return t.WriteJSON(w) })},
		{"GET", "/machines/{name}/trend.csv", a.getTrend(typeCSV, func(w io.Writer, t diagnose.Trend) error { return t.WriteCSV(w) })},
		{"GET", "/machines/{name}/trend.svg", a.getTrend(typeSVG, drawTrend(picture.SVG))},
		{"GET", "/machines/{name}/trend.png", a.getTrend(typePNG, drawTrend(picture.PNG))},
		{"GET", "/machines/{name}/why", a.getWhy},
	}
}

// machinesBody is a list of machines as JSON.
type machinesBody struct {
	Machines []book.Machine `json:"machines"`
}

func (a *API) getMachines(w http.ResponseWriter, _ *http.Request) error {
	machines, err := a.Books.Machines()
	if err != nil {
		return err
	}
	if machines == nil {
		machines = []book.Machine{}
	}
	fault.WriteJSON(w, http.StatusOK, machinesBody{machines})
	return nil
}

func (a *API) postMachine(w http.ResponseWriter, r *http.Request) error {
	var m book.Machine
	if err := a.readJSON(w, r, &m); err != nil {
		return err
	}
	m, err := a.Books.AddMachine(m)
	if err != nil {
		return err
	}
	fault.WriteJSON(w, http.StatusCreated, m)
	return nil
}

// machineBody is a machine with its edits as JSON.
type machineBody struct {
	book.Machine
	Edits []book.Edit `json:"edits"`
}

func (a *API) getMachine(w http.ResponseWriter, r *http.Request) error {
	m, edits, err := a.Books.Edits(r.PathValue("name"))
	if err != nil {
		return err
	}
	if edits == nil {
		edits = []book.Edit{}
	}
	fault.WriteJSON(w, http.StatusOK, machineBody{m, edits})
	return nil
}

// editBody is a machine as it shall be from now on.
type editBody struct {
	book.Machine
	Who string `json:"who"`
}

func (a *API) putMachine(w http.ResponseWriter, r *http.Request) error {
	var in editBody
	if err := a.readJSON(w, r, &in); err != nil {
		return err
	}
	after, err := a.Books.EditMachine(r.PathValue("name"), in.Who, in.Machine)
	if err != nil {
		return err
	}
	fault.WriteJSON(w, http.StatusOK, after)
	return nil
}

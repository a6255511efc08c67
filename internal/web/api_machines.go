package web

import (
	"io"
	"net/http"

	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
)

func (s *Server) bookRoutes() []route {
	return []route{
		{"GET", "/machines", s.getMachines},
		{"POST", "/machines", s.postMachine},
		{"GET", "/machines/{name}", s.getMachine},
		{"PUT", "/machines/{name}", s.putMachine},
		{"GET", "/machines/{name}/passes", s.getPasses},
		{"POST", "/machines/{name}/passes", s.postPass},
		{"GET", "/machines/{name}/passes/{number}", s.getPass},
		{"GET", "/machines/{name}/trend", s.getTrend(typeJSON, func(w io.Writer, t diagnose.Trend) error { return t.WriteJSON(w) })},
		{"GET", "/machines/{name}/trend.csv", s.getTrend(typeCSV, func(w io.Writer, t diagnose.Trend) error { return t.WriteCSV(w) })},
		{"GET", "/machines/{name}/trend.svg", s.getTrend(typeSVG, drawTrend(picture.SVG))},
		{"GET", "/machines/{name}/trend.png", s.getTrend(typePNG, drawTrend(picture.PNG))},
		{"GET", "/machines/{name}/why", s.getWhy},
	}
}

// machinesBody is a list of machines as JSON.
type machinesBody struct {
	Machines []book.Machine `json:"machines"`
}

func (s *Server) getMachines(w http.ResponseWriter, _ *http.Request) error {
	machines, err := s.machines()
	if err != nil {
		return err
	}
	if machines == nil {
		machines = []book.Machine{}
	}
	writeJSON(w, http.StatusOK, machinesBody{machines})
	return nil
}

func (s *Server) postMachine(w http.ResponseWriter, r *http.Request) error {
	var m book.Machine
	if err := s.readJSON(w, r, &m); err != nil {
		return err
	}
	m, err := s.enterMachine(m)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusCreated, m)
	return nil
}

// machineBody is a machine with its edits as JSON.
type machineBody struct {
	book.Machine
	Edits []book.Edit `json:"edits"`
}

func (s *Server) getMachine(w http.ResponseWriter, r *http.Request) error {
	b, err := s.books.read()
	if err != nil {
		return err
	}
	m, err := b.Machine(r.PathValue("name"))
	if err != nil {
		return err
	}
	edits, err := b.History(m.Name)
	if err != nil {
		return err
	}
	if edits == nil {
		edits = []book.Edit{}
	}
	writeJSON(w, http.StatusOK, machineBody{m, edits})
	return nil
}

// editBody is a machine as it shall be from now on.
type editBody struct {
	book.Machine
	Who string `json:"who"`
}

func (s *Server) putMachine(w http.ResponseWriter, r *http.Request) error {
	var in editBody
	if err := s.readJSON(w, r, &in); err != nil {
		return err
	}
	b, err := s.books.read()
	if err != nil {
		return err
	}
	after := in.Machine
	err = b.EditMachine(r.PathValue("name"), in.Who, func(before book.Machine) (book.Machine, error) {
		if after.Engine == (report.Engine{}) {
			after.Engine = before.Engine
		}
		return after, measure.Check(report.Query(after.Engine, after.Limits))
	})
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, after)
	return nil
}

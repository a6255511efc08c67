package web

import (
	"encoding/json"
	"net/http"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
)

// passesBody is a list of passes as JSON, each as an export of the book has it
// without its track.
type passesBody struct {
	Machine book.Machine      `json:"machine"`
	Passes  []json.RawMessage `json:"passes"`
}

func (s *Server) getPasses(w http.ResponseWriter, r *http.Request) error {
	m, passes, err := s.passes(r.PathValue("name"))
	if err != nil {
		return err
	}
	body := passesBody{Machine: m, Passes: []json.RawMessage{}}
	for _, p := range passes {
		text, err := p.JSON()
		if err != nil {
			return err
		}
		body.Passes = append(body.Passes, text)
	}
	writeJSON(w, http.StatusOK, body)
	return nil
}

func (s *Server) getPass(w http.ResponseWriter, r *http.Request) error {
	_, p, err := s.pass(r.PathValue("name"), r.PathValue("number"))
	if err != nil {
		return err
	}
	text, err := p.JSON()
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, json.RawMessage(text))
	return nil
}

// passBody is a measured clip that is to be stored, with what is known of the
// day. All but Clip may be left out.
type passBody struct {
	Clip       string     `json:"clip"` // its id
	Recorded   *time.Time `json:"recorded"`
	Air        string     `json:"air"` // as air.ParseReading reads it
	Screws     screwsBody `json:"screws"`
	FilterNote string     `json:"filter_note"`
	FuelNote   string     `json:"fuel_note"`
	Who        string     `json:"who"`
	Again      bool       `json:"again"` // though the machine has this recording already
}

// screwsBody are settings in turns, numbers or as people write them: "1 1/4".
type screwsBody struct {
	H    figure `json:"h_turns"`
	L    figure `json:"l_turns"`
	Idle figure `json:"idle_turns"`
}

// storedBody says what a pass was stored as.
type storedBody struct {
	Number  int64  `json:"number"`
	Machine string `json:"machine"`
}

func (s *Server) postPass(w http.ResponseWriter, r *http.Request) error {
	var in passBody
	if err := s.readJSON(w, r, &in); err != nil {
		return err
	}
	done, err := s.storePass(r.PathValue("name"), in)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusCreated, done)
	return nil
}

// storePass writes a measured clip into the book as a pass of a machine.
func (s *Server) storePass(machine string, in passBody) (storedBody, error) {
	j, err := s.result(in.Clip)
	if err != nil {
		return storedBody{}, err
	}
	if j.Result.Report.TopEnd == nil && j.Result.Report.Idle == nil {
		return storedBody{}, faultNothingToStore()
	}
	p := book.Pass{
		Machine: machine, Recorded: time.Now(), Report: j.Result.Report,
		FilterNote: in.FilterNote, FuelNote: in.FuelNote, Who: in.Who,
	}
	if in.Recorded != nil {
		p.Recorded = *in.Recorded
	}
	if in.Air != "" {
		a, err := readAir(in.Air, air.Default())
		if err != nil {
			return storedBody{}, named("air", err)
		}
		p.Air = &a.From
	}
	if p.Screws, err = in.Screws.read(); err != nil {
		return storedBody{}, err
	}
	b, err := s.books.read()
	if err != nil {
		return storedBody{}, err
	}
	m, err := b.Machine(machine)
	if err != nil {
		return storedBody{}, err
	}
	p.Machine = m.Name
	number, err := b.AddPass(p, in.Again)
	return storedBody{number, m.Name}, err
}

// read reads the settings that were given.
func (b screwsBody) read() (book.Screws, error) {
	var screws book.Screws
	for _, one := range []struct {
		name string
		text figure
		to   **book.Turns
	}{{"h_turns", b.H, &screws.H}, {"l_turns", b.L, &screws.L}, {"idle_turns", b.Idle, &screws.Idle}} {
		if one.text == "" {
			continue
		}
		t, err := book.ParseTurns(string(one.text))
		if err != nil {
			return screws, named(one.name, err)
		}
		*one.to = &t
	}
	return screws, nil
}

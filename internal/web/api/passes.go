package api

import (
	"encoding/json"
	"net/http"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/web/books"
	"topnote/internal/web/fault"
)

// passesBody is a list of passes as JSON, each as an export of the book has it
// without its track.
type passesBody struct {
	Machine book.Machine      `json:"machine"`
	Passes  []json.RawMessage `json:"passes"`
}

func (a *API) getPasses(w http.ResponseWriter, r *http.Request) error {
	m, passes, err := a.Books.Passes(r.PathValue("name"))
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
	fault.WriteJSON(w, http.StatusOK, body)
	return nil
}

func (a *API) getPass(w http.ResponseWriter, r *http.Request) error {
	_, p, err := a.Books.Pass(r.PathValue("name"), r.PathValue("number"))
	if err != nil {
		return err
	}
	text, err := p.JSON()
	if err != nil {
		return err
	}
	fault.WriteJSON(w, http.StatusOK, json.RawMessage(text))
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

func (a *API) postPass(w http.ResponseWriter, r *http.Request) error {
	var in passBody
	if err := a.readJSON(w, r, &in); err != nil {
		return err
	}
	done, err := a.storePass(r.PathValue("name"), in)
	if err != nil {
		return err
	}
	fault.WriteJSON(w, http.StatusCreated, done)
	return nil
}

// storePass writes a measured clip into the book as a pass of a machine.
func (a *API) storePass(machine string, in passBody) (books.Stored, error) {
	j, err := a.Queue.Result(in.Clip)
	if err != nil {
		return books.Stored{}, err
	}
	e := books.Entry{Recorded: time.Now(), FilterNote: in.FilterNote, FuelNote: in.FuelNote, Who: in.Who, Again: in.Again}
	if in.Recorded != nil {
		e.Recorded = *in.Recorded
	}
	if in.Air != "" {
		now, err := readAir(in.Air, air.Default())
		if err != nil {
			return books.Stored{}, fault.Named("air", err)
		}
		e.Air = &now.From
	}
	if e.Screws, err = books.ParseScrews(string(in.Screws.H), string(in.Screws.L), string(in.Screws.Idle)); err != nil {
		return books.Stored{}, err
	}
	return a.Books.AddPass(machine, j.Result.Report, e)
}

package phone

import (
	"encoding/json"
	"io"
	"log"
	"net/http"

	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/needle"
	"topnote/internal/web/fault"
)

// ear is what the live view asks of the pages' program. The sound itself goes to a
// program of its own (cmd/topnote-listen), which no measurement keeps waiting and which is
// loaded first: the openings that it hears are measured here.
type ear struct {
	machine func(fields map[string]string) (engine.Machine, string, error)
	log     *log.Logger
}

// listening is what the live view listens to.
type listening struct {
	Engine map[string]string `json:"engine"` // the fields of a form
	Rate   int               `json:"rate"`   // samples a second
}

func (e *ear) register(mux *http.ServeMux) {
	mux.HandleFunc("POST /live/machine", e.answering(e.readMachine))
	mux.HandleFunc("POST /live/row", e.answering(e.measureRow))
}

// answering answers with JSON.
func (e *ear) answering(answer func(*http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v, err := answer(r)
		var text []byte
		if err == nil {
			text, err = json.Marshal(v)
		}
		if err != nil {
			fault.Log(e.log, err).Refuse(w)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		_, _ = w.Write(text) // an error here means that the page has gone
	}
}

// readMachine reads the fields of a form.
func (e *ear) readMachine(r *http.Request) (any, error) {
	var fields map[string]string
	if err := json.NewDecoder(r.Body).Decode(&fields); err != nil {
		return nil, err
	}
	m, _, err := e.machine(fields)
	return m, err
}

// measureRow measures an opening: its sound, samples of 16 bits, is the body, what it is of
// is in the address.
func (e *ear) measureRow(r *http.Request) (any, error) {
	var of listening
	var o needle.Opening
	for name, to := range map[string]any{"listening": &of, "opening": &o} {
		if err := json.Unmarshal([]byte(r.FormValue(name)), to); err != nil {
			return nil, err
		}
	}
	m, _, err := e.machine(of.Engine)
	if err != nil {
		return nil, err
	}
	sound, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	o.Sound, o.Rate, o.Channels = needle.Samples(make([]int16, 0, len(sound)/2), sound), of.Rate, 1
	options := live.Default(m)
	options.Name = "live"
	row, err := live.Measure(o, options)
	if err != nil {
		return nil, err
	}
	return row.JSON(m.Ceiling()), nil
}

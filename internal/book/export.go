package book

import (
	"database/sql"
	"encoding/json"
	"io"
	"time"

	"topnote/internal/report"
)

// Schema names the layout of an export.
const Schema = "topnote.book/1"

// exportJSON is the JSON of a whole book.
type exportJSON struct {
	Schema   string        `json:"schema"`
	Machines []machineJSON `json:"machines"`
	Passes   []passJSON    `json:"passes"`
	Sounds   []soundJSON   `json:"sounds"` // absent where the book keeps none
}

type machineJSON struct {
	Machine
	Edits []Edit `json:"edits"`
}

type passJSON struct {
	Number     int64           `json:"number"`
	Machine    string          `json:"machine"`
	Recorded   time.Time       `json:"recorded"`
	Entered    time.Time       `json:"entered"`
	Air        *string         `json:"air"` // as air.ParseReading reads it
	Screws     Screws          `json:"screws"`
	FilterNote string          `json:"filter_note"`
	FuelNote   string          `json:"fuel_note"`
	Who        string          `json:"who"`
	Report     json.RawMessage `json:"report"`

	TachometerRPM report.Speed `json:"tachometer_rpm,omitzero"`
}

func (p Pass) json() passJSON {
	e := passJSON{
		Number: p.Number, Machine: p.Machine, Recorded: p.Recorded, Entered: p.Entered, Screws: p.Screws,
		FilterNote: p.FilterNote, FuelNote: p.FuelNote, Who: p.Who, Report: p.reportJSON, TachometerRPM: p.TachometerRPM,
	}
	if p.Air != nil {
		text := p.Air.String()
		e.Air = &text
	}
	return e
}

// Export writes the whole book as JSON of Schema, one machine or pass a line,
// from one state of the book. Passes come in the order of their numbers; recordings
// follow, as far as there is room for them (MaxCarried): the others are named. An error
// of w comes back as it is.
func (b *Book) Export(w io.Writer) error { return b.export(w, MaxCarried) }

// export is Export with recordings of so many bytes together.
func (b *Book) export(w io.Writer, most int64) error {
	return b.read(func(tx *sql.Tx) error {
		machines, err := exportMachines(tx)
		if err != nil {
			return err
		}
		out := listWriter{w: w}
		out.text(`{"schema":"` + Schema + `","machines":[`)
		for i, m := range machines {
			out.item(i, m)
		}
		out.text("\n],\"passes\":[")
		if err := exportPasses(tx, &out); err != nil {
			return err
		}
		out.text("\n]")
		if err := exportSounds(tx, &out, most); err != nil {
			return err
		}
		out.text("}\n")
		return out.err
	})
}

func exportPasses(tx *sql.Tx, out *listWriter) error {
	i := 0
	return eachPass(tx, wholeReport, "ORDER BY number", nil, func(p Pass) error {
		out.item(i, p.json())
		i++
		return out.err
	})
}

// exportSounds writes the recordings; nothing where the book keeps none, which programs
// that know of none can read.
func exportSounds(tx *sql.Tx, out *listWriter, most int64) error {
	i := 0
	err := eachSound(tx, most, func(s soundJSON) error {
		if i == 0 {
			out.text(`,"sounds":[`)
		}
		out.item(i, s)
		i++
		return out.err
	})
	if i > 0 {
		out.text("\n]")
	}
	return err
}

func exportMachines(tx *sql.Tx) ([]machineJSON, error) {
	stored, err := queryMachines(tx, "ORDER BY id")
	if err != nil {
		return nil, err
	}
	var machines []machineJSON
	for _, m := range stored {
		edits, err := queryEdits(tx, m.id)
		if err != nil {
			return nil, err
		}
		machines = append(machines, machineJSON{Machine: m.Machine, Edits: append([]Edit{}, edits...)})
	}
	return machines, nil
}

// listWriter writes items of JSON and keeps the first error, as an *outputError.
type listWriter struct {
	w   io.Writer
	err error
}

func (l *listWriter) text(s string) {
	if l.err != nil {
		return
	}
	if _, err := io.WriteString(l.w, s); err != nil {
		l.err = &outputError{err}
	}
}

func (l *listWriter) item(i int, v any) {
	text, err := json.Marshal(v)
	if l.err == nil {
		l.err = err
	}
	if i > 0 {
		l.text(",")
	}
	l.text("\n" + string(text))
}

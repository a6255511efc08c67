package book

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"time"

	"topnote/internal/air"
	"topnote/internal/report"
)

// Schema names the layout of an export.
const Schema = "topnote.book/1"

// export is the JSON of a whole book.
type export struct {
	Schema   string            `json:"schema"`
	Machines []exportedMachine `json:"machines"`
	Passes   []exportedPass    `json:"passes"`
}

type exportedMachine struct {
	Machine
	Edits []Edit `json:"edits"`
}

type exportedPass struct {
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
}

func (p Pass) exported() exportedPass {
	e := exportedPass{
		Number: p.Number, Machine: p.Machine, Recorded: p.Recorded, Entered: p.Entered, Screws: p.Screws,
		FilterNote: p.FilterNote, FuelNote: p.FuelNote, Who: p.Who, Report: p.text,
	}
	if p.Air != nil {
		text := p.Air.String()
		e.Air = &text
	}
	return e
}

// Export writes the whole book as JSON of Schema, one machine or pass a line,
// as it stood at one instant. Passes come in the order of their numbers.
func (b *Book) Export(w io.Writer) error {
	return b.read(func(tx *sql.Tx) error {
		machines, err := b.exportedMachines(tx)
		if err != nil {
			return err
		}
		e := listWriter{w: w}
		e.text(`{"schema":"` + Schema + `","machines":[`)
		for i, m := range machines {
			e.item(i, m)
		}
		e.text("\n],\"passes\":[")
		if err := exportPasses(tx, &e); err != nil {
			return err
		}
		e.text("\n]}\n")
		return e.err
	})
}

func exportPasses(tx *sql.Tx, e *listWriter) error {
	rows, err := tx.Query("SELECT " + passColumns + ", report FROM " + passTables + " ORDER BY p.number")
	if err != nil {
		return err
	}
	defer rows.Close()
	for i := 0; rows.Next() && e.err == nil; i++ {
		p, err := scanPass(rows)
		if err != nil {
			return err
		}
		e.item(i, p.exported())
	}
	return rows.Err()
}

func (b *Book) exportedMachines(tx *sql.Tx) ([]exportedMachine, error) {
	rows, err := tx.Query("SELECT " + machineColumns + " FROM machines ORDER BY id")
	if err != nil {
		return nil, err
	}
	ids := map[string]int64{}
	machines, err := collect(b, rows, func(r *sql.Rows) (exportedMachine, error) {
		id, m, err := scanMachine(r)
		ids[m.Name] = id
		return exportedMachine{Machine: m, Edits: []Edit{}}, err
	})
	if err != nil {
		return nil, err
	}
	for i, m := range machines {
		rows, err := tx.Query("SELECT at, who, before, after FROM edits WHERE machine = ? ORDER BY id", ids[m.Name])
		if err != nil {
			return nil, err
		}
		edits, err := collect(b, rows, scanEdit)
		if err != nil {
			return nil, err
		}
		machines[i].Edits = append(machines[i].Edits, edits...)
	}
	return machines, nil
}

// listWriter writes items of JSON and keeps the first error.
type listWriter struct {
	w   io.Writer
	err error
}

func (l *listWriter) text(s string) {
	if l.err == nil {
		_, l.err = io.WriteString(l.w, s)
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

// Imported says what an import added.
type Imported struct {
	Machines, Passes int // new in this book
	Here             int // passes that were in it already, to the letter
}

// maxImport is the most that an import reads, in bytes: some ten thousand
// passes.
const maxImport = 1 << 30

// Exported is an export that was read and could be taken into a book.
type Exported struct {
	machines []exportedMachine
	passes   []Pass
}

// TakeIn adds an export to the book: all of it, or nothing. Passes get new
// numbers in the order of the file. Machines are known by their names; one that
// is there already must be described the same. A pass that is there already is
// passed over; the same recording with other notes is refused unless again says
// that it shall be entered once more. It returns a *Problem of kind ErrKnown for
// what does not go together with what is there.
func (b *Book) TakeIn(x Exported, again bool) (Imported, error) {
	in := &importing{passes: x.passes, again: again, ids: map[string]int64{}}
	err := b.write(func(tx *sql.Tx) error {
		if err := tx.QueryRow("SELECT coalesce(max(number), 0) FROM passes").Scan(&in.last); err != nil {
			return err
		}
		for _, m := range x.machines {
			if err := b.importMachine(tx, in, m); err != nil {
				return err
			}
		}
		for _, p := range x.passes {
			if err := b.importPass(tx, in, p); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return Imported{}, err
	}
	return in.done, nil
}

// importing is an import on its way.
type importing struct {
	passes []Pass // of the file
	again  bool
	last   int64            // number of the last pass before the import
	ids    map[string]int64 // of the machines, by the key of their names
	done   Imported
}

// importMachine adds a machine unless it is there already.
func (b *Book) importMachine(tx *sql.Tx, in *importing, m exportedMachine) error {
	id, there, err := b.findMachine(tx, m.Name)
	if err == nil && there != m.Machine {
		return problemOtherMachine(there.Name)
	}
	if errors.Is(err, ErrUnknown) {
		id, err = insertMachine(tx, m.Machine)
		in.done.Machines++
		for _, edit := range m.Edits {
			err = errors.Join(err, insertEdit(tx, id, edit))
		}
	}
	in.ids[key(m.Name)] = id
	return err
}

// importPass adds a pass unless it is there already.
func (b *Book) importPass(tx *sql.Tx, in *importing, p Pass) error {
	rows, err := tx.Query("SELECT "+passColumns+", report FROM "+passTables+
		" WHERE p.machine = ? AND p.sha256 = ? AND p.number <= ? ORDER BY p.number",
		in.ids[key(p.Machine)], p.Report.Clip.SHA256, in.last)
	if err != nil {
		return err
	}
	there, err := collect(b, rows, func(r *sql.Rows) (Pass, error) { return scanPass(r) })
	if err != nil {
		return err
	}
	if slices.ContainsFunc(there, p.same) {
		in.done.Here++
		return nil
	}
	for _, q := range there {
		// An entry that the file has as well is one that p was entered beside.
		if !in.again && !slices.ContainsFunc(in.passes, q.same) {
			return problemKnownPass(p.Machine, q.Number, q.Recorded)
		}
	}
	in.done.Passes++
	_, err = insertPass(tx, in.ids[key(p.Machine)], p)
	return err
}

// same reports whether two passes are one, but for their numbers.
func (p Pass) same(q Pass) bool {
	a, b := p.exported(), q.exported()
	a.Number, b.Number = 0, 0
	a.Machine, b.Machine = "", ""
	textA, errA := json.Marshal(a)
	textB, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(textA, textB)
}

// ReadExport reads what Export wrote and makes sure that every part of it could
// have been written by this program. It returns a *Problem of kind ErrImport for
// what is no export.
func ReadExport(r io.Reader) (Exported, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxImport+1))
	if err != nil {
		return Exported{}, problemImportRead(err)
	}
	if len(text) > maxImport {
		return Exported{}, problemImportLong()
	}
	var e export
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&e); err != nil {
		return Exported{}, problemImportJSON(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return Exported{}, problemImportMore()
	}
	if e.Schema != Schema {
		return Exported{}, problemImportSchema(e.Schema)
	}
	names := map[string]bool{}
	for i, m := range e.Machines {
		if err := m.checkImport(names); err != nil {
			return Exported{}, problemImportItem("machine", i+1, err)
		}
		names[key(m.Name)] = true
	}
	passes := make([]Pass, len(e.Passes))
	for i, p := range e.Passes {
		if passes[i], err = p.pass(names); err != nil {
			return Exported{}, problemImportItem("pass", i+1, err)
		}
	}
	return Exported{e.Machines, passes}, nil
}

func (m exportedMachine) checkImport(names map[string]bool) error {
	if err := m.Check(); err != nil {
		return err
	}
	if names[key(m.Name)] {
		return problemKnownMachine(m.Name)
	}
	for _, e := range m.Edits {
		if err := errors.Join(e.Before.Check(), e.After.Check(), checkText("name", e.Who, maxShort)); err != nil {
			return firstOf(err)
		}
	}
	return nil
}

// pass makes a pass of what was exported; names are the machines that there are.
func (e exportedPass) pass(names map[string]bool) (Pass, error) {
	if !names[key(e.Machine)] {
		return Pass{}, problemNoMachine(e.Machine, nil)
	}
	r, err := report.ReadJSON(bytes.NewReader(e.Report))
	if err != nil {
		return Pass{}, err
	}
	var text bytes.Buffer
	if err := json.Compact(&text, e.Report); err != nil {
		return Pass{}, err
	}
	p := Pass{
		Machine: e.Machine, Recorded: e.Recorded, Entered: e.Entered, Report: r, Screws: e.Screws,
		FilterNote: e.FilterNote, FuelNote: e.FuelNote, Who: e.Who, text: text.Bytes(),
	}
	if e.Air != nil {
		reading, err := air.ParseReading(*e.Air)
		if err != nil {
			return Pass{}, problemAir(err)
		}
		p.Air = &reading
	}
	if e.Number < 1 {
		return Pass{}, problemImportNumber()
	}
	return p, p.check()
}

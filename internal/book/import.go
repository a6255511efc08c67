package book

import (
	"bufio"
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"slices"

	"topnote/internal/air"
	"topnote/internal/report"
)

// Imported says what an import added.
type Imported struct {
	Machines, Passes int // new in this book
	Present          int // passes that were in it already, exactly the same
	Recordings       int // new in this book
	LeftOut          int // recordings that the export only names
}

// maxImport is the most that an import reads, in bytes: some ten thousand
// passes.
const maxImport = 1 << 30

// Export is an export that was read and could be imported.
type Export struct {
	machines []machineJSON
	passes   []Pass
	sounds   []soundJSON
}

// Import adds an export to the book: all of it, or nothing. Passes get new
// numbers in the order of the file. Machines are known by their names; one that
// is present must be described the same. A pass that is present is skipped; the
// same recording with other notes is refused unless again says that it is to be
// entered once more. It returns a *Problem of kind ErrKnown for what contradicts
// what is present.
func (b *Book) Import(x Export, again bool) (Imported, error) {
	in := importer{passes: x.passes, again: again, ids: map[string]int64{}, numbers: map[int64]int64{}}
	err := b.write(func(tx *sql.Tx) error {
		in.tx = tx
		if err := tx.QueryRow("SELECT coalesce(max(number), 0) FROM passes").Scan(&in.last); err != nil {
			return err
		}
		for _, m := range x.machines {
			if err := in.addMachine(m); err != nil {
				return err
			}
		}
		for _, p := range x.passes {
			if err := in.addPass(p); err != nil {
				return err
			}
		}
		return in.addSounds(x.sounds)
	})
	if err != nil {
		return Imported{}, err
	}
	return in.done, nil
}

// importer is an import in progress.
type importer struct {
	tx     *sql.Tx
	passes []Pass // of the file
	again  bool
	last   int64            // number of the last pass before the import
	ids    map[string]int64 // of the machines, by the key of their names
	done   Imported

	numbers map[int64]int64 // in this book, by those in the file
}

// addMachine adds a machine unless it is present.
func (in *importer) addMachine(m machineJSON) error {
	id, present, err := findMachine(in.tx, m.Name)
	switch {
	case err == nil && present != m.Machine:
		return problemOtherMachine(present.Name)
	case errors.Is(err, ErrUnknown):
		if id, err = insertMachine(in.tx, m.Machine); err != nil {
			return err
		}
		in.done.Machines++
		for _, edit := range m.Edits {
			if err := insertEdit(in.tx, id, edit); err != nil {
				return err
			}
		}
	case err != nil:
		return err
	}
	in.ids[nameKey(m.Name)] = id
	return nil
}

// addPass adds a pass unless it is present.
func (in *importer) addPass(p Pass) error {
	machine := in.ids[nameKey(p.Machine)]
	present, err := queryPasses(in.tx, wholeReport, "WHERE machine = ? AND sha256 = ? AND number <= ? ORDER BY number",
		machine, p.Report.Clip.SHA256, in.last)
	if err != nil {
		return err
	}
	if i := slices.IndexFunc(present, p.same); i >= 0 {
		in.numbers[p.Number] = present[i].Number
		in.done.Present++
		return nil
	}
	for _, q := range present {
		// Where the file has that entry as well, p is a correction of it.
		if !in.again && !slices.ContainsFunc(in.passes, q.same) {
			return problemKnownPass(p.Machine, q.Number, q.Recorded)
		}
	}
	in.done.Passes++
	in.numbers[p.Number], err = insertPass(in.tx, machine, p)
	return err
}

// same reports whether two passes are equal but for their numbers.
func (p Pass) same(q Pass) bool {
	a, b := p.json(), q.json()
	a.Number, b.Number = 0, 0
	a.Machine, b.Machine = "", ""
	textA, errA := json.Marshal(a)
	textB, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(textA, textB)
}

// databaseHead begins every SQLite file. Source: SQLite documentation, "Database
// File Format".
const databaseHead = "SQLite format 3\x00"

// ReadExport reads what Book.Export wrote, or the bytes of a whole book as
// Book.WriteFile and Book.Backup give them, and makes sure that this program could
// have written every part of it. It returns a *Problem of kind ErrImport for what
// is neither.
func ReadExport(r io.Reader) (Export, error) {
	in := bufio.NewReader(r)
	if head, _ := in.Peek(len(databaseHead)); string(head) == databaseHead { // an error comes again below
		return readFile(in)
	}
	return readJSON(in)
}

func readJSON(r io.Reader) (Export, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxImport+1))
	if err != nil {
		return Export{}, problemImportRead(err)
	}
	if len(text) > maxImport {
		return Export{}, problemImportLong()
	}
	var e exportJSON
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&e); err != nil {
		return Export{}, problemImportJSON(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return Export{}, problemImportMore()
	}
	if e.Schema != Schema {
		return Export{}, problemImportSchema(e.Schema)
	}
	names := map[string]bool{}
	for i, m := range e.Machines {
		if err := m.checkImport(names); err != nil {
			return Export{}, problemImportItem("machine", i+1, err)
		}
		names[nameKey(m.Name)] = true
	}
	passes, numbers := make([]Pass, len(e.Passes)), map[int64]bool{}
	for i, p := range e.Passes {
		if passes[i], err = p.pass(names); err != nil {
			return Export{}, problemImportItem("pass", i+1, err)
		}
		numbers[p.Number] = true
	}
	for i, s := range e.Sounds {
		if err := s.check(numbers); err != nil {
			return Export{}, problemImportItem("recording", i+1, err)
		}
	}
	return Export{e.Machines, passes, e.Sounds}, nil
}

// readFile reads the bytes of a whole book, with all of its recordings.
func readFile(r io.Reader) (Export, error) {
	b, end, err := openBytes(io.LimitReader(r, maxImport))
	if err != nil {
		return Export{}, problemImportFile(err)
	}
	defer end()
	var text bytes.Buffer
	if err := b.export(&text, 0); err != nil {
		return Export{}, problemImportFile(err)
	}
	x, err := readJSON(&text)
	if err != nil {
		return Export{}, err
	}
	x.sounds = nil
	err = b.read(func(tx *sql.Tx) error {
		return eachSound(tx, maxImport, func(s soundJSON) error {
			x.sounds = append(x.sounds, s)
			return nil
		})
	})
	if err != nil {
		return Export{}, problemImportFile(err)
	}
	return x, nil
}

func (m machineJSON) checkImport(names map[string]bool) error {
	if err := m.Check(); err != nil {
		return err
	}
	if names[nameKey(m.Name)] {
		return problemKnownMachine(m.Name)
	}
	for _, e := range m.Edits {
		if err := errors.Join(e.Before.Check(), e.After.Check(), checkText("name", e.Who, maxShort)); err != nil {
			return firstProblem(err)
		}
	}
	return nil
}

// pass gives the pass that was exported; names are the keys of the machines.
func (e passJSON) pass(names map[string]bool) (Pass, error) {
	if !names[nameKey(e.Machine)] {
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
		Number: e.Number, Machine: e.Machine, Recorded: e.Recorded, Entered: e.Entered, Report: r, Screws: e.Screws,
		FilterNote: e.FilterNote, FuelNote: e.FuelNote, Who: e.Who, TachometerRPM: e.TachometerRPM, reportJSON: text.Bytes(),
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

package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"

	"topnote/internal/report"
)

// AddMachine stores a new machine. It returns a *Problem of kind ErrEntry for
// what no machine can have, and of kind ErrKnown where there is one of this name
// already.
func (b *Book) AddMachine(m Machine) error {
	if err := m.Check(); err != nil {
		return err
	}
	return b.write(func(tx *sql.Tx) error {
		_, err := insertMachine(tx, m)
		return err
	})
}

// EditMachine changes the machine of a name and keeps what it was before. change
// gets the machine as it is and returns it as it should be; when it fails nothing
// is changed and its error comes back. No change leaves no edit. The errors are
// those of AddMachine, and ErrUnknown where there is no such machine.
func (b *Book) EditMachine(name, who string, change func(Machine) (Machine, error)) error {
	if err := checkText("name", who, maxShort); err != nil {
		return err
	}
	var refused error // by change
	err := b.write(func(tx *sql.Tx) error {
		id, before, err := findMachine(tx, name)
		if err != nil {
			return err
		}
		var after Machine
		if after, refused = change(before); refused != nil {
			return refused
		}
		if after == before {
			return nil
		}
		if err := after.Check(); err != nil {
			return err
		}
		if err := updateMachine(tx, id, after); err != nil {
			return err
		}
		return insertEdit(tx, id, Edit{At: b.clock(), Who: who, Before: before, After: after})
	})
	if refused != nil {
		return refused
	}
	return err
}

// Machine gives the machine of a name; ErrUnknown where there is none.
func (b *Book) Machine(name string) (Machine, error) {
	_, m, err := findMachine(b.db, name)
	return m, b.problem(err)
}

// Machines gives all machines in the order of their names.
func (b *Book) Machines() ([]Machine, error) {
	stored, err := queryMachines(b.db, "ORDER BY key")
	if err != nil {
		return nil, b.problem(err)
	}
	var machines []Machine
	for _, s := range stored {
		machines = append(machines, s.Machine)
	}
	return machines, nil
}

// History gives the edits of a machine, the oldest first; ErrUnknown where
// there is no such machine.
func (b *Book) History(name string) ([]Edit, error) {
	var edits []Edit
	err := b.read(func(tx *sql.Tx) error {
		id, _, err := findMachine(tx, name)
		if err != nil {
			return err
		}
		edits, err = queryEdits(tx, id)
		return err
	})
	return edits, err
}

// machineColumns are the columns of machines, as machineRow has them.
const machineColumns = machineColumnsTo3 + ", build"

// machineColumnsTo3 are those up to version 3 of the schema.
const machineColumnsTo3 = "id, name, key, strokes, cylinders, max_rpm, idle_rpm, clutch_rpm, notes"

// machineRow is a row of machines.
type machineRow struct {
	id                                int64
	name, key                         string
	strokes, cylinders                int64
	maxSpeed, idleSpeed, clutchEngage sql.Null[float64] // rpm
	notes                             string
	build                             string // an engine.Build as JSON
}

// columns gives pointers to the columns in the order of machineColumns.
func (r *machineRow) columns() []any {
	return []any{&r.id, &r.name, &r.key, &r.strokes, &r.cylinders, &r.maxSpeed, &r.idleSpeed, &r.clutchEngage, &r.notes, &r.build}
}

func (r *machineRow) machine() (Machine, error) {
	m := Machine{
		Name:   r.name,
		Engine: report.Engine{Strokes: int(r.strokes), Cylinders: int(r.cylinders)},
		Limits: report.Limits{MaxRPM: report.Speed(r.maxSpeed.V), IdleRPM: report.Speed(r.idleSpeed.V), ClutchRPM: report.Speed(r.clutchEngage.V)},
		Notes:  r.notes,
	}
	if err := json.Unmarshal([]byte(r.build), &m.Engine.Build); err != nil {
		return Machine{}, damaged(kindMachine, r.id, err)
	}
	return m, nil
}

// storedMachine is a machine with its key in the table.
type storedMachine struct {
	id int64
	Machine
}

// queryMachines gives the machines that the rest of a query, after FROM
// machines, names.
func queryMachines(from queryer, rest string, args ...any) ([]storedMachine, error) {
	rows, err := from.QueryContext(context.Background(),
		"SELECT "+machineColumns+", "+digestColumn(kindMachine, "machines.id")+" FROM machines "+rest, args...)
	if err != nil {
		return nil, err
	}
	return collect(rows, func(r rowScanner) (storedMachine, error) {
		var row machineRow
		if err := scanDigested(r, kindMachine, row.columns()); err != nil {
			return storedMachine{}, err
		}
		m, err := row.machine()
		return storedMachine{row.id, m}, err
	})
}

// findMachine gives a machine with its key in the table; ErrUnknown, with the
// names that there are, where there is none.
func findMachine(from queryer, name string) (int64, Machine, error) {
	found, err := queryMachines(from, "WHERE key = ?", nameKey(name))
	if err != nil {
		return 0, Machine{}, err
	}
	if len(found) > 0 {
		return found[0].id, found[0].Machine, nil
	}
	all, err := queryMachines(from, "ORDER BY key")
	if err != nil {
		return 0, Machine{}, err
	}
	var names []string
	for _, m := range all {
		names = append(names, m.Name)
	}
	return 0, Machine{}, problemNoMachine(name, names)
}

// values gives the columns of a machine without its id.
func (m Machine) values() ([]any, error) {
	build, err := json.Marshal(m.Engine.Build)
	return []any{
		m.Name, nameKey(m.Name), m.Engine.Strokes, m.Engine.Cylinders,
		speedOrNull(m.Limits.MaxRPM), speedOrNull(m.Limits.IdleRPM), speedOrNull(m.Limits.ClutchRPM), m.Notes, string(build),
	}, err
}

func speedOrNull(s report.Speed) sql.Null[float64] {
	return sql.Null[float64]{V: float64(s), Valid: s.Told()}
}

func insertMachine(tx *sql.Tx, m Machine) (int64, error) {
	if err := refuseKnownName(tx, 0, m.Name); err != nil {
		return 0, err
	}
	values, err := m.values()
	if err != nil {
		return 0, err
	}
	return insert(tx, kindMachine, "INSERT INTO machines (name, key, strokes, cylinders, max_rpm, idle_rpm, clutch_rpm, notes, build) "+
		"VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", values...)
}

func updateMachine(tx *sql.Tx, id int64, m Machine) error {
	if err := refuseKnownName(tx, id, m.Name); err != nil {
		return err
	}
	values, err := m.values()
	if err != nil {
		return err
	}
	_, err = tx.Exec("UPDATE machines SET name = ?, key = ?, strokes = ?, cylinders = ?, max_rpm = ?, idle_rpm = ?, "+
		"clutch_rpm = ?, notes = ?, build = ? WHERE id = ?", append(values, id)...)
	if err != nil {
		return err
	}
	return storeDigest(tx, kindMachine, id)
}

// insert runs an INSERT of one row, stores its digest and gives its key.
func insert(tx *sql.Tx, of kind, statement string, args ...any) (int64, error) {
	result, err := tx.Exec(statement, args...)
	if err != nil {
		return 0, err
	}
	id, err := result.LastInsertId()
	if err != nil {
		return 0, err
	}
	return id, storeDigest(tx, of, id)
}

// refuseKnownName refuses a name that another machine than id has.
func refuseKnownName(tx *sql.Tx, id int64, name string) error {
	others, err := queryMachines(tx, "WHERE key = ? AND id <> ?", nameKey(name), id)
	if err != nil {
		return err
	}
	if len(others) > 0 {
		return problemKnownMachine(others[0].Name)
	}
	return nil
}

// editColumns are the columns of edits, as editRow has them.
const editColumns = "id, machine, at, who, before, after"

// editRow is a row of edits.
type editRow struct {
	id, machine            int64
	at, who, before, after string // times as RFC 3339, machines as JSON
}

// columns gives pointers to the columns in the order of editColumns.
func (r *editRow) columns() []any {
	return []any{&r.id, &r.machine, &r.at, &r.who, &r.before, &r.after}
}

func (r *editRow) edit() (Edit, error) {
	at, err := time.Parse(time.RFC3339Nano, r.at)
	e := Edit{At: at, Who: r.who}
	return e, errors.Join(err, json.Unmarshal([]byte(r.before), &e.Before), json.Unmarshal([]byte(r.after), &e.After))
}

func queryEdits(tx *sql.Tx, machine int64) ([]Edit, error) {
	rows, err := tx.Query("SELECT "+editColumns+", "+digestColumn(kindEdit, "edits.id")+" FROM edits WHERE machine = ? ORDER BY id", machine)
	if err != nil {
		return nil, err
	}
	return collect(rows, func(r rowScanner) (Edit, error) {
		var row editRow
		if err := scanDigested(r, kindEdit, row.columns()); err != nil {
			return Edit{}, err
		}
		e, err := row.edit()
		if err != nil {
			return Edit{}, damaged(kindEdit, row.id, err)
		}
		return e, nil
	})
}

func insertEdit(tx *sql.Tx, machine int64, e Edit) error {
	before, errBefore := json.Marshal(e.Before)
	after, errAfter := json.Marshal(e.After)
	if err := errors.Join(errBefore, errAfter); err != nil {
		return err
	}
	_, err := insert(tx, kindEdit, "INSERT INTO edits (machine, at, who, before, after) VALUES (?, ?, ?, ?, ?)",
		machine, e.At.Format(time.RFC3339Nano), e.Who, string(before), string(after))
	return err
}

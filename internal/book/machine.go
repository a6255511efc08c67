package book

import (
	"database/sql"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// Machine is a machine as its user describes it.
type Machine struct {
	Name   string        `json:"name"` // the user's own; large and small letters count as the same
	Engine report.Engine `json:"engine"`
	Limits report.Limits `json:"limits"` // speeds of 0 were not entered
	Notes  string        `json:"notes"`
}

// Edit is one change of a machine.
type Edit struct {
	At     time.Time `json:"at"`
	Who    string    `json:"who"` // "": not said
	Before Machine   `json:"before"`
	After  Machine   `json:"after"`
}

// AddMachine writes a new machine into the book. It returns a *Problem of kind
// ErrEntry for what no machine can have, and of kind ErrKnown where there is
// one of this name already.
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
// gets the machine as it is and gives it as it shall be; when it fails nothing is
// changed and its error comes back. No change at all leaves no edit. The errors
// are those of AddMachine, and ErrUnknown where there is no such machine.
func (b *Book) EditMachine(name, who string, change func(Machine) (Machine, error)) error {
	if err := checkText("name", who, maxShort); err != nil {
		return err
	}
	var refused error // what change says
	err := b.write(func(tx *sql.Tx) error {
		id, before, err := b.findMachine(tx, name)
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
	_, m, err := b.findMachine(b.db, name)
	return m, err
}

// Machines gives all machines in the order of their names.
func (b *Book) Machines() ([]Machine, error) {
	rows, err := b.db.Query("SELECT " + machineColumns + " FROM machines ORDER BY key")
	if err != nil {
		return nil, problemDatabase(b.path, err)
	}
	return collect(b, rows, func(r *sql.Rows) (Machine, error) {
		_, m, err := scanMachine(r)
		return m, err
	})
}

// History gives the edits of a machine, the oldest first; ErrUnknown where
// there is no such machine.
func (b *Book) History(name string) ([]Edit, error) {
	id, _, err := b.findMachine(b.db, name)
	if err != nil {
		return nil, err
	}
	rows, err := b.db.Query("SELECT at, who, before, after FROM edits WHERE machine = ? ORDER BY id", id)
	if err != nil {
		return nil, problemDatabase(b.path, err)
	}
	return collect(b, rows, scanEdit)
}

// Check returns a *Problem of kind ErrEntry for a machine that cannot be.
func (m Machine) Check() error {
	switch {
	case m.Name == "":
		return problemNoName()
	case strings.TrimSpace(m.Name) != m.Name:
		return problemBlankName(m.Name)
	case engine.Spec(m.Engine).Check() != nil:
		return problemEngine(m.Engine)
	}
	if err := errors.Join(checkText("name", m.Name, maxShort), checkText("notes", m.Notes, maxLong)); err != nil {
		return firstOf(err)
	}
	return checkLimits(m.Limits)
}

// fastest bounds the speeds that can be entered, in rpm: no engine that is held
// by hand turns faster than a fraction of it.
const fastest = 100_000

// checkLimits returns a *Problem for speeds that cannot be, or not together.
func checkLimits(l report.Limits) error {
	speeds := []struct {
		name string
		v    report.Speed
	}{{"idle", l.IdleRPM}, {"clutch", l.ClutchRPM}, {"maximum", l.MaxRPM}}
	last := -1
	for i, s := range speeds {
		if v := float64(s.v); math.IsNaN(v) || v < 0 || v > fastest {
			return problemSpeed(s.name, v)
		}
		if !s.v.Told() {
			continue
		}
		if last >= 0 && speeds[last].v >= s.v {
			return problemSpeedOrder(speeds[last].name, speeds[last].v, s.name, s.v)
		}
		last = i
	}
	return nil
}

// key gives a name as names are compared.
func key(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

const machineColumns = "id, name, strokes, cylinders, max_rpm, idle_rpm, clutch_rpm, notes"

// findMachine gives a machine with its number in the table; ErrUnknown, with
// the names that there are, where there is none.
func (b *Book) findMachine(from rowsQuerier, name string) (int64, Machine, error) {
	id, m, err := scanMachine(from.QueryRow("SELECT "+machineColumns+" FROM machines WHERE key = ?", key(name)))
	if !errors.Is(err, sql.ErrNoRows) {
		if err != nil {
			return 0, Machine{}, problemDatabase(b.path, err)
		}
		return id, m, nil
	}
	rows, err := from.Query("SELECT name FROM machines ORDER BY key")
	if err != nil {
		return 0, Machine{}, problemDatabase(b.path, err)
	}
	names, err := collect(b, rows, func(r *sql.Rows) (string, error) {
		var n string
		return n, r.Scan(&n)
	})
	if err != nil {
		return 0, Machine{}, err
	}
	return 0, Machine{}, problemNoMachine(name, names)
}

// rowsQuerier is a database or a transaction.
type rowsQuerier interface {
	querier
	Query(query string, args ...any) (*sql.Rows, error)
}

// scanner is a row.
type scanner interface{ Scan(to ...any) error }

func scanMachine(row scanner) (int64, Machine, error) {
	var id int64
	var m Machine
	var top, idle, clutch sql.Null[float64]
	err := row.Scan(&id, &m.Name, &m.Engine.Strokes, &m.Engine.Cylinders, &top, &idle, &clutch, &m.Notes)
	m.Limits = report.Limits{MaxRPM: report.Speed(top.V), IdleRPM: report.Speed(idle.V), ClutchRPM: report.Speed(clutch.V)}
	return id, m, err
}

// values gives the columns of a machine but its number, and its key.
func (m Machine) values() []any {
	return []any{m.Name, key(m.Name), m.Engine.Strokes, m.Engine.Cylinders,
		orNull(m.Limits.MaxRPM), orNull(m.Limits.IdleRPM), orNull(m.Limits.ClutchRPM), m.Notes}
}

func orNull(s report.Speed) sql.Null[float64] {
	return sql.Null[float64]{V: float64(s), Valid: s.Told()}
}

func insertMachine(tx *sql.Tx, m Machine) (int64, error) {
	if err := refuseKnown(tx, 0, m.Name); err != nil {
		return 0, err
	}
	result, err := tx.Exec("INSERT INTO machines (name, key, strokes, cylinders, max_rpm, idle_rpm, clutch_rpm, notes) "+
		"VALUES (?, ?, ?, ?, ?, ?, ?, ?)", m.values()...)
	if err != nil {
		return 0, err
	}
	return result.LastInsertId()
}

func updateMachine(tx *sql.Tx, id int64, m Machine) error {
	if err := refuseKnown(tx, id, m.Name); err != nil {
		return err
	}
	_, err := tx.Exec("UPDATE machines SET name = ?, key = ?, strokes = ?, cylinders = ?, max_rpm = ?, idle_rpm = ?, "+
		"clutch_rpm = ?, notes = ? WHERE id = ?", append(m.values(), id)...)
	return err
}

// refuseKnown refuses a name that another machine than id has.
func refuseKnown(tx *sql.Tx, id int64, name string) error {
	var other string
	err := tx.QueryRow("SELECT name FROM machines WHERE key = ? AND id <> ?", key(name), id).Scan(&other)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil
	case err != nil:
		return err
	}
	return problemKnownMachine(other)
}

func insertEdit(tx *sql.Tx, machine int64, e Edit) error {
	before, err := json.Marshal(e.Before)
	if err != nil {
		return err
	}
	after, err := json.Marshal(e.After)
	if err != nil {
		return err
	}
	_, err = tx.Exec("INSERT INTO edits (machine, at, who, before, after) VALUES (?, ?, ?, ?, ?)",
		machine, e.At.Format(time.RFC3339Nano), e.Who, string(before), string(after))
	return err
}

func scanEdit(r *sql.Rows) (Edit, error) {
	var e Edit
	var at, before, after string
	if err := r.Scan(&at, &e.Who, &before, &after); err != nil {
		return Edit{}, err
	}
	var err error
	if e.At, err = time.Parse(time.RFC3339Nano, at); err != nil {
		return Edit{}, err
	}
	return e, errors.Join(json.Unmarshal([]byte(before), &e.Before), json.Unmarshal([]byte(after), &e.After))
}

// collect reads all rows and closes them.
func collect[T any](b *Book, rows *sql.Rows, scan func(*sql.Rows) (T, error)) ([]T, error) {
	defer rows.Close()
	var all []T
	for rows.Next() {
		one, err := scan(rows)
		if err != nil {
			return nil, b.explain(err)
		}
		all = append(all, one)
	}
	if err := rows.Err(); err != nil {
		return nil, problemDatabase(b.path, err)
	}
	return slices.Clip(all), nil
}

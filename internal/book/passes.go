package book

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"slices"
	"time"

	"topnote/internal/air"
	"topnote/internal/report"
)

// AddPass stores a pass and gives its number. It returns a *Problem of kind
// ErrUnknown where there is no such machine, of kind ErrEntry for what no pass
// can have, and of kind ErrKnown where the machine has the same recording
// already, unless again says that it is to be entered once more.
func (b *Book) AddPass(p Pass, again bool) (int64, error) {
	if p.Entered.IsZero() {
		p.Entered = b.clock()
	}
	if err := p.check(); err != nil {
		return 0, err
	}
	var text bytes.Buffer
	if err := report.WriteJSON(&text, p.Report); err != nil {
		return 0, err
	}
	p.reportJSON = bytes.TrimSpace(text.Bytes())
	var number int64
	err := b.write(func(tx *sql.Tx) error {
		id, m, err := findMachine(tx, p.Machine)
		if err != nil {
			return err
		}
		if !again {
			if err := refuseKnownClip(tx, storedMachine{id, m}, p.Report.Clip); err != nil {
				return err
			}
		}
		number, err = insertPass(tx, id, p)
		return err
	})
	if err != nil {
		return 0, err
	}
	return number, nil
}

// Pass gives the pass of a number with its whole report; ErrUnknown where there
// is none.
func (b *Book) Pass(number int64) (Pass, error) {
	var passes []Pass
	err := b.read(func(tx *sql.Tx) (err error) {
		passes, err = queryPasses(tx, wholeReport, "WHERE number = ?", number)
		return err
	})
	if err != nil {
		return Pass{}, err
	}
	if len(passes) == 0 {
		return Pass{}, problemNoPass(number)
	}
	return passes[0], nil
}

// Passes gives the passes of a machine, or of all machines for "", in the order
// in which they were recorded. Their reports come without the track, which is
// most of a report; Pass has it. ErrUnknown where there is no such machine.
func (b *Book) Passes(machine string) ([]Pass, error) {
	var passes []Pass
	err := b.read(func(tx *sql.Tx) (err error) {
		if machine == "" {
			passes, err = queryPasses(tx, withoutTrack, "")
			return err
		}
		id, _, err := findMachine(tx, machine)
		if err != nil {
			return err
		}
		passes, err = queryPasses(tx, withoutTrack, "WHERE machine = ?", id)
		return err
	})
	if err != nil {
		return nil, err
	}
	slices.SortFunc(passes, Pass.Compare)
	return passes, nil
}

// passColumns are the columns of passes, as passRow has them.
const passColumns = "number, machine, recorded, entered, sha256, report, air, h_turns, l_turns, idle_turns, filter_note, fuel_note, who, tachometer_rpm"

// passRow is a row of passes, with what a query adds to it.
type passRow struct {
	number, machine                        int64
	recorded, entered, sha256, report, air string // times as RFC 3339
	hTurns, lTurns, idleTurns              sql.Null[float64]
	filterNote, fuelNote, who              string
	tachometer                             lateColumn
	replacedBy                             sql.Null[int64] // last later entry of the same recording
	shownReport                            []byte          // the report, or a part of it
}

// columns gives pointers to the columns in the order of passColumns.
func (r *passRow) columns() []any {
	return []any{
		&r.number, &r.machine, &r.recorded, &r.entered, &r.sha256, &r.report, &r.air,
		&r.hTurns, &r.lTurns, &r.idleTurns, &r.filterNote, &r.fuelNote, &r.who, &r.tachometer,
	}
}

// pass gives the pass of the row; machine is the name of its machine.
func (r *passRow) pass(machine string) (Pass, error) {
	p := Pass{
		Number: r.number, Machine: machine, ReplacedBy: r.replacedBy.V, reportJSON: r.shownReport,
		Screws:     Screws{H: turnsOrNil(r.hTurns), L: turnsOrNil(r.lTurns), Idle: turnsOrNil(r.idleTurns)},
		FilterNote: r.filterNote, FuelNote: r.fuelNote, Who: r.who, TachometerRPM: report.Speed(r.tachometer.V),
	}
	var errRecorded, errEntered, errReport, errAir error
	p.Recorded, errRecorded = time.Parse(time.RFC3339, r.recorded)
	p.Entered, errEntered = time.Parse(time.RFC3339Nano, r.entered)
	p.Report, errReport = report.ReadJSON(bytes.NewReader(r.shownReport))
	if r.air != "" {
		var reading air.Reading
		reading, errAir = air.ParseReading(r.air)
		p.Air = &reading
	}
	return p, errors.Join(errRecorded, errEntered, errReport, errAir)
}

// What a query gives of a report, as a column of passes.
const (
	wholeReport  = "report"
	withoutTrack = "json_remove(report, '$.track')"
)

// queryPasses gives the passes that the rest of a query, after FROM passes,
// names. reportPart is wholeReport or withoutTrack.
func queryPasses(tx *sql.Tx, reportPart, rest string, args ...any) ([]Pass, error) {
	var passes []Pass
	err := eachPass(tx, reportPart, rest, args, func(p Pass) error {
		passes = append(passes, p)
		return nil
	})
	return slices.Clip(passes), err
}

// eachPass calls do with each of the passes of queryPasses. An error of do ends
// it and comes back.
func eachPass(tx *sql.Tx, reportPart, rest string, args []any, do func(Pass) error) error {
	machines, err := queryMachines(tx, "")
	if err != nil {
		return err
	}
	names := map[int64]string{}
	for _, m := range machines {
		names[m.id] = m.Name
	}
	rows, err := tx.QueryContext(context.Background(), "SELECT "+passColumns+", "+digestColumn(kindPass, "passes.number")+
		", (SELECT max(q.number) FROM passes AS q WHERE q.machine = passes.machine AND q.sha256 = passes.sha256 AND q.number > passes.number), "+
		reportPart+" FROM passes "+rest, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var r passRow
		if err := scanDigested(rows, kindPass, r.columns(), &r.replacedBy, &r.shownReport); err != nil {
			return err
		}
		name, known := names[r.machine]
		p, err := r.pass(name)
		if err != nil || !known {
			return damaged(kindPass, r.number, errors.Join(err, errContent))
		}
		if err := do(p); err != nil {
			return err
		}
	}
	return rows.Err()
}

func insertPass(tx *sql.Tx, machine int64, p Pass) (int64, error) {
	reading := ""
	if p.Air != nil {
		reading = p.Air.String()
	}
	return insert(tx, kindPass, "INSERT INTO passes (machine, recorded, entered, sha256, report, air, h_turns, l_turns, idle_turns, "+
		"filter_note, fuel_note, who, tachometer_rpm) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		machine, p.Recorded.Format(time.RFC3339), p.Entered.Format(time.RFC3339Nano), p.Report.Clip.SHA256, string(p.reportJSON),
		reading, turnsOrNull(p.Screws.H), turnsOrNull(p.Screws.L), turnsOrNull(p.Screws.Idle), p.FilterNote, p.FuelNote, p.Who,
		sql.Null[float64]{V: float64(p.TachometerRPM), Valid: p.TachometerRPM.Told()})
}

func turnsOrNull(t *Turns) sql.Null[float64] {
	if t == nil {
		return sql.Null[float64]{}
	}
	return sql.Null[float64]{V: float64(*t), Valid: true}
}

func turnsOrNil(v sql.Null[float64]) *Turns {
	if !v.Valid {
		return nil
	}
	t := Turns(v.V)
	return &t
}

// refuseKnownClip refuses a recording that the machine has already.
func refuseKnownClip(tx *sql.Tx, m storedMachine, c report.Clip) error {
	known, err := queryPasses(tx, withoutTrack, "WHERE machine = ? AND sha256 = ? ORDER BY number DESC LIMIT 1", m.id, c.SHA256)
	if err != nil {
		return err
	}
	if len(known) > 0 {
		return problemKnownPass(m.Name, known[0].Number, known[0].Recorded)
	}
	return nil
}

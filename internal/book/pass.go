package book

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"topnote/internal/air"
	"topnote/internal/report"
)

// Pass is a recorded run with what was known of the day.
type Pass struct {
	Number     int64     // in this book, from 1; 0: not stored yet
	Machine    string    // its name
	Recorded   time.Time // when the engine ran
	Entered    time.Time // when it was written into the book; zero: now
	Report     report.Report
	Air        *air.Reading // nil: not given
	Screws     Screws
	FilterNote string // air filter: "new", "cleaned", "dusty" ...
	FuelNote   string // fuel, oil and what brings it: "fresh, 1:50", "fuel filter new" ...
	Who        string

	// ReplacedBy is the number of a later entry of the same recording for the
	// same machine, which speaks for it; 0: none.
	ReplacedBy int64

	text []byte // the report as it is stored, one line of JSON; nil: not stored yet
}

// Screws are the settings of a carburettor's screws; nil: not given.
type Screws struct {
	H    *Turns `json:"h_turns"`    // high-speed mixture
	L    *Turns `json:"l_turns"`    // low-speed mixture
	Idle *Turns `json:"idle_turns"` // stop of the throttle
}

// AddPass writes a pass into the book and gives its number. It returns a
// *Problem of kind ErrUnknown where there is no such machine, of kind ErrEntry
// for what no pass can have, and of kind ErrKnown where the machine has the same
// recording already, unless again says that it shall be entered once more.
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
	p.text = bytes.TrimSpace(text.Bytes())
	var number int64
	err := b.write(func(tx *sql.Tx) error {
		id, m, err := b.findMachine(tx, p.Machine)
		if err != nil {
			return err
		}
		if !again {
			if err := refuseKnownClip(tx, id, m.Name, p.Report.Clip); err != nil {
				return err
			}
		}
		number, err = insertPass(tx, id, p)
		return err
	})
	return number, err
}

// Pass gives the pass of a number with its whole report; ErrUnknown where there
// is none.
func (b *Book) Pass(number int64) (Pass, error) {
	p, err := scanPass(b.db.QueryRow("SELECT "+passColumns+", report FROM "+passTables+" WHERE p.number = ?", number))
	if errors.Is(err, sql.ErrNoRows) {
		return Pass{}, problemNoPass(number)
	}
	if err != nil {
		return Pass{}, b.explain(err)
	}
	return p, nil
}

// Passes gives the passes of a machine, or of all machines for "", in the order
// in which they were recorded. Their reports come without the track, which is
// most of a report and is asked for one pass at a time. ErrUnknown where there is
// no such machine.
func (b *Book) Passes(machine string) ([]Pass, error) {
	var passes []Pass
	err := b.read(func(tx *sql.Tx) error {
		query := "SELECT " + passColumns + ", json_remove(report, '$.track') FROM " + passTables
		var args []any
		if machine != "" {
			id, _, err := b.findMachine(tx, machine)
			if err != nil {
				return err
			}
			query += " WHERE p.machine = ?"
			args = append(args, id)
		}
		rows, err := tx.Query(query, args...)
		if err != nil {
			return err
		}
		passes, err = collect(b, rows, func(r *sql.Rows) (Pass, error) { return scanPass(r) })
		return err
	})
	slices.SortFunc(passes, Pass.Compare)
	return passes, err
}

// FourStrokingShare gives the share of the full throttle without load, 0 to 1,
// that the engine four-strokes. It is not told without full throttle, or where
// the firing is unknown for more than half of it.
func (p Pass) FourStrokingShare() (share float64, told bool) {
	const minTold = 0.5
	t := p.Report.TopEnd
	if t == nil || t.FourStrokingShare+t.CleanShare < minTold {
		return 0, false
	}
	return t.FourStrokingShare, true
}

// Compare orders passes by the time at which they were recorded, then by number:
// below 0 where p comes first.
func (p Pass) Compare(q Pass) int {
	if c := p.Recorded.Compare(q.Recorded); c != 0 {
		return c
	}
	return int(p.Number - q.Number)
}

// check returns a *Problem for what no pass can have.
func (p Pass) check() error {
	err := errors.Join(
		checkText("air filter note", p.FilterNote, maxLong),
		checkText("fuel note", p.FuelNote, maxLong),
		checkText("name of who did it", p.Who, maxShort),
		p.Screws.check(),
		checkTimes(p.Recorded, p.Entered),
		checkReport(p.Report))
	if err != nil {
		return firstOf(err)
	}
	if p.Air != nil {
		if _, err := p.Air.Air(air.Default()); err != nil {
			return problemAir(err)
		}
	}
	return nil
}

// The times that a pass can have been recorded at: earlier is a slip, and so is
// later than its entry. A clock may be a day off, by its zone for one.
var earliest = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

const clockSlip = 24 * time.Hour

func checkTimes(recorded, entered time.Time) error {
	if recorded.Before(earliest) || recorded.After(entered.Add(clockSlip)) || entered.Year() > 9999 {
		return problemDate(recorded)
	}
	return nil
}

const passTables = "passes AS p JOIN machines AS m ON m.id = p.machine"

// passColumns are those of a pass but its report, which follows them.
const passColumns = "p.number, m.name, p.recorded, p.entered, p.air, p.h_turns, p.l_turns, p.idle_turns, " +
	"p.filter_note, p.fuel_note, p.who, " +
	"(SELECT max(q.number) FROM passes AS q WHERE q.machine = p.machine AND q.sha256 = p.sha256 AND q.number > p.number)"

func scanPass(row scanner) (Pass, error) {
	var p Pass
	var recorded, entered, reading string
	var later sql.Null[int64]
	err := row.Scan(&p.Number, &p.Machine, &recorded, &entered, &reading, &p.Screws.H, &p.Screws.L, &p.Screws.Idle,
		&p.FilterNote, &p.FuelNote, &p.Who, &later, &p.text)
	if err != nil {
		return Pass{}, err
	}
	p.ReplacedBy = later.V
	if p.Recorded, err = time.Parse(time.RFC3339, recorded); err != nil {
		return Pass{}, fmt.Errorf("book: pass %d: %w", p.Number, err)
	}
	if p.Entered, err = time.Parse(time.RFC3339Nano, entered); err != nil {
		return Pass{}, fmt.Errorf("book: pass %d: %w", p.Number, err)
	}
	if p.Report, err = report.ReadJSON(bytes.NewReader(p.text)); err != nil {
		return Pass{}, fmt.Errorf("book: pass %d: %w", p.Number, err)
	}
	if reading == "" {
		return p, nil
	}
	r, err := air.ParseReading(reading)
	if err != nil {
		return Pass{}, fmt.Errorf("book: pass %d: %w", p.Number, err)
	}
	p.Air = &r
	return p, nil
}

func insertPass(tx *sql.Tx, machine int64, p Pass) (int64, error) {
	reading := ""
	if p.Air != nil {
		reading = p.Air.String()
	}
	result, err := tx.Exec("INSERT INTO passes (machine, recorded, entered, sha256, report, air, h_turns, l_turns, idle_turns, "+
		"filter_note, fuel_note, who) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		machine, p.Recorded.Format(time.RFC3339), p.Entered.Format(time.RFC3339Nano), p.Report.Clip.SHA256, string(p.text),
		reading, turnsOrNull(p.Screws.H), turnsOrNull(p.Screws.L), turnsOrNull(p.Screws.Idle), p.FilterNote, p.FuelNote, p.Who)
	if err != nil {
		return 0, err
	}
	return result.LastInsertId()
}

func turnsOrNull(t *Turns) sql.Null[float64] {
	if t == nil {
		return sql.Null[float64]{}
	}
	return sql.Null[float64]{V: float64(*t), Valid: true}
}

// refuseKnownClip refuses a recording that the machine has already.
func refuseKnownClip(tx *sql.Tx, machine int64, name string, c report.Clip) error {
	var number int64
	var recorded string
	err := tx.QueryRow("SELECT number, recorded FROM passes WHERE machine = ? AND sha256 = ? ORDER BY number DESC LIMIT 1",
		machine, c.SHA256).Scan(&number, &recorded)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil
	case err != nil:
		return err
	}
	at, err := time.Parse(time.RFC3339, recorded)
	if err != nil {
		return err
	}
	return problemKnownPass(name, number, at)
}

// checkReport returns a *Problem for a report that cannot be kept: without the
// hash of its recording, or with text that could play tricks on a terminal. The
// name of the clip may hold anything: it is made printable where it is shown.
func checkReport(r report.Report) error {
	if len(r.Clip.SHA256) != 64 || strings.Trim(r.Clip.SHA256, "0123456789abcdef") != "" {
		return problemNoHash(r.Clip.SHA256)
	}
	texts := []string{r.Clip.Container, r.Clip.Codec, r.Clip.Used, r.Verdict.Code, r.Verdict.Says}
	texts = append(texts, r.Clip.Remarks...)
	texts = append(texts, r.Verdict.Advice...)
	texts = append(texts, r.Verdict.Cautions...)
	for _, f := range r.Verdict.Findings {
		texts = append(append(texts, f.Code, f.Says, f.Advice), f.Causes...)
	}
	for _, p := range r.Phases {
		texts = append(texts, p.Kind)
	}
	for _, p := range r.Quality.Problems {
		texts = append(texts, p.Code, p.Says)
	}
	for _, t := range texts {
		if err := checkText("text of the report", t, maxSentence); err != nil {
			return err
		}
	}
	return checkFigures(r)
}

// JSON gives a stored pass as the JSON of an export has it, on one line without
// its end. The report is the one that was stored, to the letter; of a pass from
// Passes it is without its track.
func (p Pass) JSON() ([]byte, error) {
	return json.Marshal(p.exported())
}

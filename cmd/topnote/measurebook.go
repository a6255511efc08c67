package main

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/pflag"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// measureBook is the part of a measure command that uses the book: it reads the
// machine's figures from there, and stores the pass.
type measureBook struct {
	bookJob
	machine    string
	noBook     bool
	again      bool
	date       string
	air        string
	tachometer engine.RPM
	pass       book.Pass // the conditions of the day
	book       *book.Book
}

// conditionFlags are the flags that need --machine.
var conditionFlags = []string{
	"air", "h", "l", "idle-screw", "filter-note", "fuel-note", "who", "date", "tachometer", "again", "no-book", "book",
}

// register adds the flags of the book to those of measure or listen, whose rows no
// one reading of a tachometer fits.
func (m *measureBook) register(f *pflag.FlagSet, tachometer bool) {
	f.StringVar(&m.machine, "machine", "", flagMachine)
	f.StringVar(&m.air, "air", "", flagAir)
	f.Var(turnsFlag{&m.pass.Screws.H}, "h", flagH)
	f.Var(turnsFlag{&m.pass.Screws.L}, "l", flagL)
	f.Var(turnsFlag{&m.pass.Screws.Idle}, "idle-screw", flagIdleScrew)
	f.StringVar(&m.pass.FilterNote, "filter-note", "", flagFilterNote)
	f.StringVar(&m.pass.FuelNote, "fuel-note", "", flagFuelNote)
	f.StringVar(&m.pass.Who, "who", "", flagWho)
	if tachometer {
		f.Var(speedFlag{&m.tachometer}, "tachometer", flagTachometer)
	}
	f.StringVar(&m.date, "date", "", flagDate)
	f.BoolVar(&m.noBook, "no-book", false, flagNoBook)
	f.BoolVar(&m.again, "again", false, flagAgain)
	f.StringVar(&m.path, "book", "", flagBook)
}

// open parses the flags for the book and takes from the machine the figures whose
// flags of measure were not given. Without --machine it does nothing.
func (m *measureBook) open(f *pflag.FlagSet, q *engine.Machine) error {
	if m.machine == "" {
		for _, name := range conditionFlags {
			if f.Changed(name) {
				return refuseWithoutMachine(name)
			}
		}
		return nil
	}
	if err := m.parse(f); err != nil {
		return err
	}
	var err error
	if m.book, err = m.bookJob.open(); err != nil {
		return err
	}
	machine, err := m.book.Machine(m.machine)
	if err != nil {
		m.close()
		return bookError(err)
	}
	m.machine = machine.Name
	fillFromMachine(q, report.Query(machine.Engine, machine.Limits).Entered(), f.Changed)
	return nil
}

// parse reads the air and the day.
func (m *measureBook) parse(f *pflag.FlagSet) error {
	m.pass.Machine, m.pass.Recorded, m.pass.TachometerRPM = m.machine, time.Now(), report.Speed(m.tachometer)
	if f.Changed("air") {
		reading, err := air.ParseReading(m.air)
		if err != nil {
			return airUsage("--air", err)
		}
		if _, err := reading.Air(air.Default()); err != nil {
			return airUsage("--air", err)
		}
		m.pass.Air = &reading
	}
	if m.date != "" {
		day, err := parseDay(m.date)
		if err != nil {
			return err
		}
		m.pass.Recorded = day
		return bookError(book.CheckTimes(day, time.Now())) // before the work, not after it
	}
	return nil
}

// noon is the hour of a day whose hour was not given.
const noon = 12 * time.Hour

// parseDay reads a day, with or without a time, in local time.
func parseDay(text string) (time.Time, error) {
	if t, err := time.ParseInLocation("2006-01-02 15:04", text, time.Local); err == nil {
		return t, nil
	}
	t, err := time.ParseInLocation("2006-01-02", text, time.Local)
	if err != nil {
		return time.Time{}, refuseDate(text)
	}
	return t.Add(noon), nil
}

// fillFromMachine takes from a machine the figures whose flags were not given; both
// are as entered.
func fillFromMachine(q *engine.Machine, machine engine.Machine, isSet func(string) bool) {
	for _, one := range []struct {
		flag string
		take func()
	}{
		{"limit", func() { q.Limits.Max = machine.Limits.Max }},
		{"idle", func() { q.Limits.Idle = machine.Limits.Idle }},
		{"clutch", func() { q.Limits.Clutch = machine.Limits.Clutch }},
		{"strokes", func() { q.Spec.Strokes = machine.Spec.Strokes }},
		{"cylinders", func() { q.Spec.Cylinders = machine.Spec.Cylinders }},
	} {
		if !isSet(one.flag) {
			one.take()
		}
	}
	for _, field := range engine.Fields {
		if !field.OfPass && !isSet(field.Name) {
			_ = field.Set(q, field.Get(machine)) // what the book has can be entered
		}
	}
}

// forBook gives the report for store, nil where nothing is stored: then the report
// need not be kept.
func (m *measureBook) forBook(r report.Report) *report.Report {
	if m.book == nil || m.noBook {
		return nil
	}
	return &r
}

// store stores a measured pass in the book and reports on w that it did, or why not.
func (m *measureBook) store(w io.Writer, clip string, r *report.Report) status {
	if r == nil {
		return measured
	}
	if r.TopEnd == nil && r.Idle == nil {
		fmt.Fprintln(w, errorLine(clip, saysNothingToStore()))
		return measured
	}
	p := m.pass
	p.Report = *r
	number, err := m.book.AddPass(p, m.again)
	if err != nil {
		fmt.Fprintln(w, errorLine(clip, bookError(err)))
		return failed
	}
	fmt.Fprintln(w, saysStored(clip, number, m.machine))
	return measured
}

// close closes the book, if one is open. What was stored is on the disk.
func (m *measureBook) close() {
	if m.book != nil {
		m.book.Close()
	}
}

// turnsFlag is a flag that holds the setting of a screw; it implements
// pflag.Value.
type turnsFlag struct{ to **book.Turns }

// Set reads a setting as people write it.
func (f turnsFlag) Set(text string) error {
	t, err := book.ParseTurns(text)
	if err != nil {
		return bookError(err)
	}
	*f.to = &t
	return nil
}

// String gives the default for the help: none.
func (f turnsFlag) String() string { return "" }

// Type names what the flag takes, for the help.
func (f turnsFlag) Type() string { return "turns" }

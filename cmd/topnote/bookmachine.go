package main

import (
	"encoding/json"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/report"
)

// machineFlags are the parsed flags of a machine's figures.
type machineFlags struct {
	limit, idle, clutch engine.RPM
	engine              engine.Spec
	known               engine.Machine // its build
	name, notes, who    string
}

// newMachine builds "topnote book machine" and the commands below it.
func newMachine(job *bookJob) *cobra.Command {
	c := &cobra.Command{
		Use:   "machine",
		Short: machineShort,
		Args:  noCommand,
		RunE: func(*cobra.Command, []string) error {
			return &usageError{"no machine command was given", doMachineHelp}
		},
	}
	c.AddCommand(newMachineAdd(job), newMachineList(job), newMachineShow(job), newMachineEdit(job))
	return c
}

// register adds the flags of a machine's figures.
func (m *machineFlags) register(f *pflag.FlagSet) {
	m.engine = engine.TwoStrokeSingle
	f.SortFlags = false
	f.Var(clearableSpeed{&m.limit}, "limit", flagLimit)
	f.Var(clearableSpeed{&m.idle}, "idle", flagIdle)
	f.Var(clearableSpeed{&m.clutch}, "clutch", flagClutch)
	f.IntVar(&m.engine.Strokes, "strokes", m.engine.Strokes, flagStrokes)
	f.IntVar(&m.engine.Cylinders, "cylinders", m.engine.Cylinders, flagCylinders)
	for _, field := range engine.Fields {
		if !field.OfPass {
			f.Var(fieldFlag{&m.known, field}, field.Name, flagField(field))
		}
	}
	f.StringVar(&m.notes, "notes", "", flagNotes)
}

// applyTo gives a machine with the figures whose flags were given.
func (m *machineFlags) applyTo(to book.Machine, isSet func(string) bool) book.Machine {
	q := report.Query(to.Engine, to.Limits).Entered()
	for _, one := range []struct {
		flag string
		set  func()
	}{
		{"name", func() { to.Name = m.name }},
		{"limit", func() { q.Limits.Max = m.limit }},
		{"idle", func() { q.Limits.Idle = m.idle }},
		{"clutch", func() { q.Limits.Clutch = m.clutch }},
		{"strokes", func() { q.Spec.Strokes = m.engine.Strokes }},
		{"cylinders", func() { q.Spec.Cylinders = m.engine.Cylinders }},
		{"notes", func() { to.Notes = m.notes }},
	} {
		if isSet(one.flag) {
			one.set()
		}
	}
	for _, field := range engine.Fields {
		if !field.OfPass && isSet(field.Name) {
			_ = field.Set(&q, field.Get(m.known)) // what a flag took can be entered
		}
	}
	to.Engine, to.Limits = report.Entries(q.FromEntered())
	return to
}

// clearableSpeed is a flag that holds a speed in rpm, or none.
type clearableSpeed struct{ to *engine.RPM }

// Set reads a speed as people write it, and "none".
func (f clearableSpeed) Set(text string) error {
	if strings.EqualFold(strings.TrimSpace(text), "none") {
		*f.to = 0
		return nil
	}
	return speedFlag(f).Set(text)
}

// String gives the default for the help: none.
func (f clearableSpeed) String() string { return "" }

// Type names what the flag takes, for the help.
func (f clearableSpeed) Type() string { return "rpm" }

// machineName gives the one argument, the name of a machine.
func machineName(args []string) (string, error) {
	switch len(args) {
	case 0:
		return "", refuseNoMachine()
	case 1:
		return args[0], nil
	}
	return "", refuseArgument(args[1])
}

func newMachineAdd(job *bookJob) *cobra.Command {
	var m machineFlags
	c := &cobra.Command{
		Use:     "add NAME",
		Short:   machineAddShort,
		Example: machineAddExample,
		RunE: func(c *cobra.Command, args []string) error {
			name, err := machineName(args)
			if err != nil {
				return err
			}
			to := book.Machine{Name: name}
			to.Engine, _ = report.Entries(engine.Machine{Spec: engine.TwoStrokeSingle})
			to = m.applyTo(to, c.Flags().Changed)
			if err := entry.Check(report.Query(to.Engine, to.Limits)); err != nil {
				return usageErrorOf("machine", "", err)
			}
			return job.addMachine(to)
		},
	}
	m.register(c.Flags())
	return c
}

func (j *bookJob) addMachine(m book.Machine) error {
	if err := m.Check(); err != nil { // before a book is made for it
		return bookError(err)
	}
	b, err := j.create()
	if err != nil {
		return err
	}
	if err := b.AddMachine(m); err != nil {
		b.Close() // the first error counts
		return bookError(err)
	}
	if err := b.Close(); err != nil {
		return bookError(err)
	}
	return j.print(func(w io.Writer) error { return saysAdded(w, m, b.Path()) })
}

func newMachineEdit(job *bookJob) *cobra.Command {
	var m machineFlags
	c := &cobra.Command{
		Use:   "edit NAME",
		Short: machineEditShort,
		RunE: func(c *cobra.Command, args []string) error {
			name, err := machineName(args)
			if err != nil {
				return err
			}
			return job.editMachine(name, m.who, func(before book.Machine) (book.Machine, error) {
				after := m.applyTo(before, c.Flags().Changed)
				if err := entry.Check(report.Query(after.Engine, after.Limits)); err != nil {
					return book.Machine{}, usageErrorOf("machine", "", err)
				}
				return after, nil
			})
		},
	}
	c.Flags().StringVar(&m.name, "name", "", flagNewName)
	m.register(c.Flags())
	c.Flags().StringVar(&m.who, "who", "", flagWho)
	return c
}

func (j *bookJob) editMachine(name, who string, change func(book.Machine) (book.Machine, error)) error {
	b, err := j.open()
	if err != nil {
		return err
	}
	defer b.Close() // what was changed is on the disk by then
	changed := book.Machine{Name: name}
	err = b.EditMachine(name, who, func(before book.Machine) (book.Machine, error) {
		var err error
		changed, err = change(before)
		return changed, err
	})
	if err != nil {
		return bookError(err)
	}
	return j.showMachineOf(b, changed.Name)
}

func newMachineList(job *bookJob) *cobra.Command {
	format := "text"
	c := &cobra.Command{
		Use:   "list",
		Short: machineListShort,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuseArgument(args[0])
			}
			if err := checkFormat(format, "text", "json"); err != nil {
				return err
			}
			return job.listMachines(format)
		},
	}
	c.Flags().StringVar(&format, "format", format, flagTextJSON)
	return c
}

func (j *bookJob) listMachines(format string) error {
	b, err := j.open()
	if err != nil {
		return err
	}
	defer b.Close() // nothing was written
	machines, err := b.Machines()
	if err != nil {
		return bookError(err)
	}
	if format == "text" {
		return j.print(func(w io.Writer) error { return book.WriteMachines(w, machines) })
	}
	return j.print(func(w io.Writer) error {
		for _, m := range machines {
			if err := json.NewEncoder(w).Encode(m); err != nil {
				return err
			}
		}
		return nil
	})
}

func newMachineShow(job *bookJob) *cobra.Command {
	return &cobra.Command{
		Use:   "show NAME",
		Short: machineShowShort,
		RunE: func(_ *cobra.Command, args []string) error {
			name, err := machineName(args)
			if err != nil {
				return err
			}
			b, err := job.open()
			if err != nil {
				return err
			}
			defer b.Close() // nothing was written
			return job.showMachineOf(b, name)
		},
	}
}

func (j *bookJob) showMachineOf(b *book.Book, name string) error {
	m, err := b.Machine(name)
	if err != nil {
		return bookError(err)
	}
	edits, err := b.History(name)
	if err != nil {
		return bookError(err)
	}
	passes, err := b.Passes(name)
	if err != nil {
		return bookError(err)
	}
	return j.print(func(w io.Writer) error { return book.WriteMachine(w, m, edits, len(passes)) })
}

package book

import (
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"topnote/internal/report"
)

var likePass = []cmp.Option{cmpopts.IgnoreUnexported(Pass{}), cmpopts.EquateApproxTime(0)}

func TestMachines(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	other := Machine{Name: "Älteste", Engine: report.Engine{Strokes: 4, Cylinders: 2}}
	if err := b.AddMachine(other); err != nil {
		t.Fatal(err)
	}
	got, err := b.Machines()
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]Machine{madeMachine("bench saw"), other}, got); diff != "" {
		t.Error(diff)
	}
	wantProblem(t, b.AddMachine(madeMachine("Bench SAW")), ErrKnown, `there is a machine "bench saw" already`)
	m, err := b.Machine("  BENCH saw ")
	if err != nil || m.Name != "bench saw" {
		t.Errorf("got %v, %v", m, err)
	}
	_, err = b.Machine("loud one")
	wantProblem(t, err, ErrUnknown, `there is no machine "loud one"`)
	if !strings.Contains(err.Error(), "bench saw, Älteste") {
		t.Errorf("it does not say which there are: %v", err)
	}
}

func TestMachineIsRefused(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	for says, change := range map[string]func(*Machine){
		"a machine needs a name":                                 func(m *Machine) { m.Name = "" },
		"begins or ends with a space":                            func(m *Machine) { m.Name = " saw" },
		"cannot be printed on one line":                          func(m *Machine) { m.Name = "saw\x1b[2J" },
		"in the notes \"a\\nb\" cannot":                          func(m *Machine) { m.Notes = "a\nb" },
		"more than 1000 characters in the":                       func(m *Machine) { m.Notes = strings.Repeat("x", 1001) },
		"strokes 3":                                              func(m *Machine) { m.Engine.Strokes = 3 },
		"cylinders 0":                                            func(m *Machine) { m.Engine.Cylinders = 0 },
		"NaN rpm is no maximum speed":                            func(m *Machine) { m.Limits.MaxRPM = report.Speed(math.NaN()) },
		"-1 rpm is no idle speed":                                func(m *Machine) { m.Limits.IdleRPM = -1 },
		"the clutch speed of 3,700 rpm is not below the maximum": func(m *Machine) { m.Limits.MaxRPM = 3700 },
		"the idle speed of 2,800 rpm is not below the maximum":   func(m *Machine) { m.Limits.MaxRPM, m.Limits.ClutchRPM = 2800, 0 },
	} {
		m := madeMachine("saw")
		change(&m)
		wantProblem(t, b.AddMachine(m), ErrEntry, says)
	}
	if all, err := b.Machines(); err != nil || len(all) != 1 {
		t.Errorf("a refused machine was kept: %v, %v", all, err)
	}
}

// TestEdits: an edit keeps what was before it, and a pass keeps the limits that
// it was judged by.
func TestEdits(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	number, err := b.AddPass(madePass("bench saw", "a", 0, 12500), false)
	if err != nil {
		t.Fatal(err)
	}
	before := madeMachine("bench saw")
	after := before
	after.Name, after.Limits.MaxRPM = "green saw", 13000
	edit := func(m Machine) (Machine, error) {
		m.Name, m.Limits.MaxRPM = after.Name, after.Limits.MaxRPM
		return m, nil
	}
	if err := b.EditMachine("bench saw", "Kim", edit); err != nil {
		t.Fatal(err)
	}
	if err := b.EditMachine("green saw", "Kim", edit); err != nil { // changes nothing
		t.Fatal(err)
	}
	edits, err := b.History("green saw")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]Edit{{At: madeDay(100), Who: "Kim", Before: before, After: after}}, edits, likePass...); diff != "" {
		t.Error(diff)
	}
	p, err := b.Pass(number)
	if err != nil || p.Machine != "green saw" || p.Report.Limits.MaxRPM != 13500 {
		t.Errorf("got %q, %v, %v", p.Machine, p.Report.Limits, err)
	}

	wantProblem(t, b.EditMachine("bench saw", "", edit), ErrUnknown, "there is no machine")
	own := errors.New("not today")
	if err := b.EditMachine("green saw", "", func(Machine) (Machine, error) { return before, own }); !errors.Is(err, own) {
		t.Errorf("the caller's own error came back as %v", err)
	}
	bad := func(m Machine) (Machine, error) { m.Name = ""; return m, nil }
	wantProblem(t, b.EditMachine("green saw", "", bad), ErrEntry, "needs a name")
	if err := b.AddMachine(madeMachine("other")); err != nil {
		t.Fatal(err)
	}
	taken := func(m Machine) (Machine, error) { m.Name = "OTHER"; return m, nil }
	wantProblem(t, b.EditMachine("green saw", "", taken), ErrKnown, `there is a machine "other"`)
}

func TestPasses(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	late, early := madePass("Bench saw", "late", 5, 12700), madePass("bench saw", "early", 1, 12500)
	early.Air, early.Screws, early.FilterNote, early.FuelNote, early.Who = nil, Screws{}, "", "", ""
	for i, p := range []Pass{late, early} {
		number, err := b.AddPass(p, false)
		if err != nil || number != int64(i+1) {
			t.Fatalf("pass %d, %v", number, err)
		}
	}
	late.Number, late.Machine, early.Number = 1, "bench saw", 2
	got, err := b.Pass(1)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(late, got, likePass...); diff != "" {
		t.Error(diff)
	}
	list, err := b.Passes("bench saw")
	if err != nil {
		t.Fatal(err)
	}
	early.Report.Track, late.Report.Track = nil, nil
	if diff := cmp.Diff([]Pass{early, late}, list, likePass...); diff != "" {
		t.Errorf("in order of time, without tracks:\n%s", diff)
	}
	if all, err := b.Passes(""); err != nil || len(all) != 2 {
		t.Errorf("all machines: %d passes, %v", len(all), err)
	}
	_, err = b.Pass(7)
	wantProblem(t, err, ErrUnknown, "there is no pass 7")
	_, err = b.Passes("nobody's")
	wantProblem(t, err, ErrUnknown, "there is no machine")
	_, err = b.AddPass(madePass("nobody's", "x", 1, 12000), false)
	wantProblem(t, err, ErrUnknown, "there is no machine")
}

// TestManyAtOnce: one open book serves several goroutines.
func TestManyAtOnce(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			if _, err := b.AddPass(madePass("bench saw", fmt.Sprint(i), i, 12500), false); err != nil {
				t.Error(err)
			}
			if _, err := b.Passes("bench saw"); err != nil {
				t.Error(err)
			}
			if err := b.Export(io.Discard); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if passes, err := b.Passes(""); err != nil || len(passes) != 8 {
		t.Errorf("%d passes, %v", len(passes), err)
	}
}

// TestSameRecording: it is told and refused unless asked; then both entries stay
// and the last one counts.
func TestSameRecording(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	if err := b.AddMachine(madeMachine("other")); err != nil {
		t.Fatal(err)
	}
	p := madePass("bench saw", "a", 1, 12500)
	if _, err := b.AddPass(p, false); err != nil {
		t.Fatal(err)
	}
	_, err := b.AddPass(p, false)
	wantProblem(t, err, ErrKnown, `this recording is in the book already, as pass 1 of "bench saw" on 2026-03-02`)
	p.Machine = "other"
	if _, err := b.AddPass(p, false); err != nil {
		t.Errorf("of another machine: %v", err)
	}
	p.Machine, p.FuelNote = "bench saw", "stale"
	if n, err := b.AddPass(p, true); err != nil || n != 3 {
		t.Fatalf("asked for: pass %d, %v", n, err)
	}
	list, err := b.Passes("bench saw")
	if err != nil || len(list) != 2 {
		t.Fatalf("%d passes, %v", len(list), err)
	}
	if list[0].ReplacedBy != 3 || list[0].FuelNote != "fresh, 1:50" || list[1].ReplacedBy != 0 || list[1].FuelNote != "stale" {
		t.Errorf("got %+v", list)
	}
}

func TestPassIsRefused(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	for says, change := range map[string]func(*Pass){
		"21 turns is no setting":      func(p *Pass) { *p.Screws.H = 21 },
		"NaN turns is no":             func(p *Pass) { *p.Screws.L = Turns(math.NaN()) },
		"the air filter note":         func(p *Pass) { p.FilterNote = "new\r" },
		"characters in the fuel note": func(p *Pass) { p.FuelNote = strings.Repeat("é", 1001) },
		"the name of who":             func(p *Pass) { p.Who = "\xff" },
		"recorded on 1999-12-31":      func(p *Pass) { p.Recorded = time.Date(1999, 12, 31, 0, 0, 0, 0, time.UTC) },
		"recorded on 2026-03-05":      func(p *Pass) { p.Recorded = p.Entered.AddDate(0, 0, 3) },
		"its SHA-256 is \"\"":         func(p *Pass) { p.Report.Clip.SHA256 = "" },
		"text of the report":          func(p *Pass) { p.Report.Verdict.Says = "safe\x1b[1A" },
		"a share of 1.5":              func(p *Pass) { p.Report.TopEnd.FourStrokingShare = 1.5 },
		"a speed of -5 rpm":           func(p *Pass) { p.Report.TopEnd.SDRPM = -5 },
		"calls 13600 rpm safe":        func(p *Pass) { p.Report.TopEnd.SustainedRPM = 13600 },
		"is outside":                  func(p *Pass) { *p.Air.Temp = 99 },
	} {
		p := madePass("bench saw", "a", 1, 12500)
		change(&p)
		_, err := b.AddPass(p, false)
		wantProblem(t, err, ErrEntry, says)
	}
	if all, err := b.Passes(""); err != nil || len(all) != 0 {
		t.Errorf("a refused pass was kept: %v, %v", all, err)
	}
}

// TestNothingIsRewritten: the file itself refuses it.
func TestNothingIsRewritten(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	if _, err := b.AddPass(madePass("bench saw", "a", 1, 12500), false); err != nil {
		t.Fatal(err)
	}
	notes := func(m Machine) (Machine, error) { m.Notes = "x"; return m, nil }
	if err := b.EditMachine("bench saw", "", notes); err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{
		"UPDATE passes SET who = 'me'", "DELETE FROM passes", "UPDATE edits SET who = 'me'", "DELETE FROM edits", "DELETE FROM machines",
		"INSERT INTO passes SELECT 9, 99, recorded, entered, sha256, report, air, 1, 1, 1, '', '', '' FROM passes", // no such machine
		"UPDATE machines SET strokes = 'two'", // STRICT
	} {
		if _, err := b.db.Exec(statement); err == nil {
			t.Errorf("%s went through", statement)
		}
	}
	if p, err := b.Pass(1); err != nil || p.Who != "Kim" {
		t.Errorf("got %v, %v", p.Who, err)
	}
}

// TestReopened: what one program stored the next one finds.
func TestReopened(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "a #odd? name%20.sqlite")
	b, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.AddMachine(madeMachine("saw")); err != nil {
		t.Fatal(err)
	}
	if _, err := b.AddPass(madePass("saw", "a", 1, 12500), false); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	var mode string
	if err := again.db.QueryRow("PRAGMA journal_mode").Scan(&mode); err != nil || mode != "wal" {
		t.Errorf("journal %q, %v", mode, err)
	}
	if p, err := again.Pass(1); err != nil || p.Report.TopEnd.SustainedRPM != 12500 || len(p.Report.Track) != 3 {
		t.Errorf("got %v, %v", p.Report.TopEnd, err)
	}
	if again.Path() != path {
		t.Errorf("path %q", again.Path())
	}
}

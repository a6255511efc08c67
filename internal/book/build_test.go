package book

import (
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// cutOffSaw is a machine of which everything is known.
func cutOffSaw() Machine {
	return Machine{
		Name: "wheel", Limits: report.Limits{MaxRPM: 10200, IdleRPM: 2700},
		Engine: report.Engine{Strokes: 2, Cylinders: 1, Build: engine.Build{
			Kind: engine.CutOffSaw, Carburettor: engine.FixedJets, Governor: engine.Yes, CoilLimit: engine.No,
			Charge: engine.PlainCharge, Catalyst: engine.No, FilterCompensated: engine.Yes,
			GearRatio: 2, LimitOf: engine.OfSpindle, LimitIs: engine.SetTo, Tolerance: 200,
		}},
	}
}

// TestBuildKept: what is known of a machine comes back from the book, from its edits
// and from an export; what cannot be is refused.
func TestBuildKept(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	m := cutOffSaw()
	if err := b.AddMachine(m); err != nil {
		t.Fatal(err)
	}
	if got, err := b.Machine("wheel"); err != nil || got != m {
		t.Errorf("got %+v, %v", got, err)
	}
	after := m
	after.Engine.Governor = engine.No
	if err := b.EditMachine("wheel", "Kim", func(Machine) (Machine, error) { return after, nil }); err != nil {
		t.Fatal(err)
	}
	edits, err := b.History("wheel")
	if err != nil || len(edits) != 1 || edits[0].Before != m || edits[0].After != after {
		t.Errorf("edits %+v, %v", edits, err)
	} else if says := edits[0].Says(); !strings.HasSuffix(says, `Kim: governor from "yes" to "no"`) {
		t.Errorf("the edit says %q", says)
	}
	other := newBook(t)
	if _, err := importInto(other, strings.NewReader(exported(t, b)), false); err != nil {
		t.Fatal(err)
	}
	if got, err := other.Machine("wheel"); err != nil || got != after {
		t.Errorf("imported %+v, %v", got, err)
	}
	bad := m
	bad.Name, bad.Engine.GearRatio = "other", 0
	wantProblem(t, b.AddMachine(bad), ErrEntry, "no gear ratio")
	bad.Engine.Build = engine.Build{Kind: "tractor"}
	wantProblem(t, b.AddMachine(bad), ErrEntry, "not one of the possible answers")
}

// TestImportOldExport: an export of before machines had a build is still read, and
// nothing is known of its machine.
func TestImportOldExport(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	old := `{"schema":"topnote.book/1","machines":[{"name":"Old saw","engine":{"strokes":2,"cylinders":1},` +
		`"limits":{"max_rpm":13500,"idle_rpm":null,"clutch_rpm":null},"notes":"","edits":[]}],"passes":[]}`
	if _, err := importInto(b, strings.NewReader(old), false); err != nil {
		t.Fatal(err)
	}
	m, err := b.Machine("old saw")
	if err != nil || m.Engine.Build != (engine.Build{}) || m.Limits.MaxRPM != 13500 {
		t.Errorf("got %+v, %v", m, err)
	}
}

// writeThird makes a book of version 3 with one machine: a new one without what
// came later, with the digest that version 3 had.
func writeThird(t *testing.T, notes string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "third.sqlite")
	b, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	row := machineRow{id: 1, name: "Old saw", key: "old saw", strokes: 2, cylinders: 1, notes: "from before"}
	row.maxSpeed.V, row.maxSpeed.Valid = 13500, true
	columns := row.columns()
	for _, step := range []struct {
		sql  string
		args []any
	}{
		{"DROP TABLE sounds", nil},
		{"ALTER TABLE machines DROP COLUMN build", nil},
		{"ALTER TABLE passes DROP COLUMN tachometer_rpm", nil},
		{"INSERT INTO machines VALUES (1, 'Old saw', 'old saw', 2, 1, 13500.0, NULL, NULL, ?)", []any{notes}},
		{"INSERT INTO digests VALUES ('machine', 1, ?)", []any{digest(columns[:len(columns)-1])}},
		{"PRAGMA user_version = 3", nil},
	} {
		if _, err := b.db.Exec(step.sql, step.args...); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

// TestMigrateThird: a book with digests comes up to date, and one whose machine was
// damaged before is found out, not given a new digest.
func TestMigrateThird(t *testing.T) {
	t.Parallel()
	b, err := Open(writeThird(t, "from before"))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	m, err := b.Machine("old saw")
	if err != nil || m.Notes != "from before" || m.Engine.Build != (engine.Build{}) {
		t.Errorf("got %+v, %v", m, err)
	}
	_, err = Open(writeThird(t, "from beyond"))
	wantProblem(t, err, ErrFile, "is damaged")
}

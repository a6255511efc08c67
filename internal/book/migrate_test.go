package book

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"topnote/internal/report"
)

// firstForm is version 1 of the schema, written out by hand: the copy keeps the
// test from following a change of the migrations.
const firstForm = `CREATE TABLE machines (id INTEGER PRIMARY KEY, name TEXT NOT NULL, key TEXT NOT NULL UNIQUE,
	strokes INTEGER NOT NULL, cylinders INTEGER NOT NULL, max_rpm REAL, idle_rpm REAL, clutch_rpm REAL, notes TEXT NOT NULL) STRICT;
CREATE TABLE passes (number INTEGER PRIMARY KEY AUTOINCREMENT, machine INTEGER NOT NULL REFERENCES machines (id),
	recorded TEXT NOT NULL, entered TEXT NOT NULL, sha256 TEXT NOT NULL, report TEXT NOT NULL CHECK (json_valid(report)),
	air TEXT NOT NULL, h_turns REAL, l_turns REAL, idle_turns REAL, filter_note TEXT NOT NULL, fuel_note TEXT NOT NULL,
	who TEXT NOT NULL) STRICT;
CREATE INDEX passes_of_clip ON passes (machine, sha256);
INSERT INTO machines VALUES (3, 'Old saw', 'old saw', 2, 1, 13500.0, NULL, 3700.0, 'from before');
PRAGMA application_id = 1416520299;
PRAGMA user_version = 1;`

// writeFirst makes a book of version 1 with one machine and one pass.
func writeFirst(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "old.sqlite")
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	r := madeReport("old", 12345)
	var text bytes.Buffer
	err = report.WriteJSON(&text, r)
	if err == nil {
		_, err = db.Exec(firstForm)
	}
	if err == nil {
		_, err = db.Exec("INSERT INTO passes VALUES (7, 3, '2025-11-05T10:00:00+01:00', '2025-11-05T12:00:00+01:00', ?, ?, "+
			"'temp=8C rh=80% altitude=120m', 1.25, NULL, 2.0, '', 'fresh', 'Kim')", r.Clip.SHA256, text.String())
	}
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestMigrate(t *testing.T) {
	t.Parallel()
	b, err := Open(writeFirst(t))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	m, err := b.Machine("old saw")
	want := Machine{
		Name: "Old saw", Engine: report.Engine{Strokes: 2, Cylinders: 1},
		Limits: report.Limits{MaxRPM: 13500, ClutchRPM: 3700}, Notes: "from before",
	}
	if err != nil || m != want {
		t.Errorf("got %v, %v", m, err)
	}
	p, err := b.Pass(7)
	if err != nil || p.Machine != "Old saw" || p.Report.TopEnd.SustainedRPM != 12345 || *p.Screws.H != 1.25 || p.Screws.L != nil ||
		p.Air == nil || float64(*p.Air.Temp) != 8 || p.Who != "Kim" || p.Recorded.Format(time.DateOnly) != "2025-11-05" {
		t.Errorf("got %+v, %v", p, err)
	}
	// What came with version 2 works on the old book: edits are kept, passes stay.
	if err := b.EditMachine("old saw", "", func(m Machine) (Machine, error) { m.Notes = "now"; return m, nil }); err != nil {
		t.Error(err)
	}
	if edits, err := b.History("old saw"); err != nil || len(edits) != 1 || edits[0].Before.Notes != "from before" {
		t.Errorf("edits %v, %v", edits, err)
	}
	if _, err := b.db.Exec("DELETE FROM passes"); err == nil {
		t.Error("a pass could be taken out")
	}
	if n, err := b.AddPass(madePass("old saw", "new", 1, 12400), false); err != nil || n != 8 {
		t.Errorf("the next pass is %d, %v", n, err)
	}
	if v, err := b.version(b.db); err != nil || v != len(migrations) {
		t.Errorf("version %d, %v", v, err)
	}
}

// TestMigrateAllOrNothing: a step that fails leaves the book as it was.
func TestMigrateAllOrNothing(t *testing.T) {
	t.Parallel()
	path := writeFirst(t)
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec("CREATE TABLE digests (x)"); err != nil { // in the way of the third step
		t.Fatal(err)
	}
	_, err = Open(path)
	wantProblem(t, err, ErrFile, "is damaged")
	var version, edits int
	row := db.QueryRow("SELECT (SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema WHERE name = 'edits')")
	if err := row.Scan(&version, &edits); err != nil || version != 1 || edits != 0 {
		t.Errorf("version %d, %d tables of edits, %v", version, edits, err)
	}
}

func TestMigrateReadOnly(t *testing.T) {
	t.Parallel()
	b := &Book{path: writeFirst(t), readOnly: true}
	wantProblem(t, b.connect("ro", ""), ErrFile, "is from an older program")
}

// TestApplicationID pins the mark of a book: it is in every file that is out.
func TestApplicationID(t *testing.T) {
	if got := fmt.Sprintf("%x", applicationID); got != "546e626b" {
		t.Errorf("the mark is %s", got)
	}
}

package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"topnote/internal/sqlite"
)

// applicationID marks a database as a book: the bytes "Tnbk" in the place that
// SQLite keeps for this.
//
// Source: SQLite documentation, PRAGMA application_id.
const applicationID = 0x546e626b

// migrations bring a book from each version of its schema to the next; its
// version is how many of them it has been through. A step that has been
// released is never changed: add another.
var migrations = []string{
	// 1: machines and passes.
	`CREATE TABLE machines (
	id        INTEGER PRIMARY KEY,
	name      TEXT NOT NULL,
	key       TEXT NOT NULL UNIQUE, -- the name as it is compared
	strokes   INTEGER NOT NULL,
	cylinders INTEGER NOT NULL,
	max_rpm    REAL, -- null: not entered
	idle_rpm   REAL,
	clutch_rpm REAL,
	notes     TEXT NOT NULL
) STRICT;
CREATE TABLE passes (
	number      INTEGER PRIMARY KEY AUTOINCREMENT,
	machine     INTEGER NOT NULL REFERENCES machines (id),
	recorded    TEXT NOT NULL, -- RFC 3339, with the offset of the place
	entered     TEXT NOT NULL, -- RFC 3339
	sha256      TEXT NOT NULL, -- of the recording
	report      TEXT NOT NULL CHECK (json_valid(report)),
	air         TEXT NOT NULL, -- as air.ParseReading reads it; '': not given
	h_turns     REAL, -- null: not given
	l_turns     REAL,
	idle_turns  REAL,
	filter_note TEXT NOT NULL,
	fuel_note   TEXT NOT NULL,
	who         TEXT NOT NULL
) STRICT;
CREATE INDEX passes_of_clip ON passes (machine, sha256);`,

	// 2: edits of machines are kept, and nothing that happened can be rewritten.
	`CREATE TABLE edits (
	id      INTEGER PRIMARY KEY AUTOINCREMENT,
	machine INTEGER NOT NULL REFERENCES machines (id),
	at      TEXT NOT NULL, -- RFC 3339
	who     TEXT NOT NULL,
	before  TEXT NOT NULL CHECK (json_valid(before)),
	after   TEXT NOT NULL CHECK (json_valid(after))
) STRICT;
CREATE TRIGGER passes_stay BEFORE UPDATE ON passes
	BEGIN SELECT RAISE (ABORT, 'a pass is never changed'); END;
CREATE TRIGGER passes_last BEFORE DELETE ON passes
	BEGIN SELECT RAISE (ABORT, 'a pass is never taken out'); END;
CREATE TRIGGER edits_stay BEFORE UPDATE ON edits
	BEGIN SELECT RAISE (ABORT, 'an edit is never changed'); END;
CREATE TRIGGER edits_last BEFORE DELETE ON edits
	BEGIN SELECT RAISE (ABORT, 'an edit is never taken out'); END;`,

	// 3: a digest of every row, so that damage to what is stored is noticed.
	`CREATE TABLE digests (
	kind   TEXT NOT NULL, -- 'machine', 'pass' or 'edit'
	id     INTEGER NOT NULL, -- of the row
	sha256 TEXT NOT NULL, -- of its columns
	PRIMARY KEY (kind, id)
) STRICT, WITHOUT ROWID;`,

	// 4: what is known of a machine beside its engine and speeds: its kind, how the
	// mixture is set, what holds the top speed.
	`ALTER TABLE machines ADD COLUMN build TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(build));`,

	// 5: recordings, where the user says so. They can be taken out again.
	`CREATE TABLE sounds (
	pass      INTEGER PRIMARY KEY REFERENCES passes (number),
	kept      TEXT NOT NULL, -- RFC 3339
	sha256    TEXT NOT NULL, -- of the next column
	recording BLOB NOT NULL -- as it was sent
) STRICT;`,

	// 6: what a tachometer showed.
	`ALTER TABLE passes ADD COLUMN tachometer_rpm REAL; -- null: not noted`,
}

// digestsSince is the version of the schema from which rows have digests.
const digestsSince = 3

// buildsSince is the version of the schema from which machines have a build.
const buildsSince = 4

// prepare makes sure that the file is a book and whole, and brings its schema up
// to date: all steps or none.
func (b *Book) prepare() error {
	version, err := b.version(b.db)
	if err != nil {
		return err
	}
	if err := b.check(version); err != nil {
		return err
	}
	if version < len(migrations) {
		if b.readOnly {
			return problemOldReadOnly(b.path)
		}
		if err := b.write(b.upgrade); err != nil {
			return err
		}
	}
	if !b.readOnly {
		// With a write-ahead log, readers and a writer do not wait for each other.
		// Where another program holds the file this fails, and that program sets it.
		_, _ = b.db.Exec("PRAGMA journal_mode = wal")
	}
	return nil
}

// upgrade runs the migrations that the file lacks. Another program may have been
// faster, so the version is read again.
func (b *Book) upgrade(tx *sql.Tx) error {
	version, err := b.version(tx)
	if err != nil {
		return err
	}
	if version >= digestsSince && version < buildsSince {
		if err := verifyMachinesTo3(tx); err != nil {
			return err
		}
	}
	for _, step := range migrations[version:] {
		if _, err := tx.Exec(step); err != nil {
			return err
		}
	}
	if err := digestAnew(tx, version); err != nil {
		return err
	}
	_, err = tx.Exec(fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, len(migrations)))
	return err
}

// version gives the version of the file's schema, 0 for a file that is still
// empty. It returns a *Problem for a database that is not a book and for a book
// of a newer program.
func (b *Book) version(from queryer) (int, error) {
	var id, version, things int
	row := from.QueryRowContext(context.Background(), "SELECT (SELECT application_id FROM pragma_application_id), "+
		"(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)")
	if err := row.Scan(&id, &version, &things); err != nil {
		return 0, b.problem(err)
	}
	switch {
	case id == applicationID && version > len(migrations):
		return 0, problemNewer(b.path, version, len(migrations))
	case id == applicationID && version > 0:
		return version, nil
	case id == 0 && version == 0 && things == 0:
		return 0, nil
	}
	return 0, problemOtherDatabase(b.path)
}

// object is a table, an index or a trigger.
type object struct{ kind, name string }

// objects gives the SQL of everything that a database has, without its layout.
func objects(from queryer) (map[object]string, error) {
	rows, err := from.QueryContext(context.Background(), "SELECT type, name, coalesce(sql, '') FROM sqlite_schema")
	if err != nil {
		return nil, err
	}
	all := map[object]string{}
	_, err = collect(rows, func(r rowScanner) (struct{}, error) {
		var o object
		var text string
		err := r.Scan(&o.kind, &o.name, &text)
		all[o] = bareSQL(text)
		return struct{}{}, err
	})
	return all, err
}

// wantedObjects gives what a book of a version has, from a new one in memory.
func wantedObjects(version int) (map[object]string, error) {
	db, err := sql.Open(sqlite.DriverName, ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close() // in memory
	db.SetMaxOpenConns(1)
	for _, step := range migrations[:version] {
		if _, err := db.Exec(step); err != nil {
			return nil, err
		}
	}
	return objects(db)
}

var errSchema = errors.New("its tables are not those of a book")

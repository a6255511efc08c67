package book

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// check returns a *Problem for a book of a version that is damaged: its tables,
// the structure of its file, or the number of its rows. What the rows hold is
// compared with their digests when they are read. It takes about 0.1 ms for a
// pass with its track.
func (b *Book) check(version int) error {
	if version == 0 {
		return nil // still empty
	}
	// One connection for all of it: a pragma holds for a connection.
	connection, err := b.db.Conn(context.Background())
	if err != nil {
		return b.problem(err)
	}
	defer connection.Close() // back to the pool
	if err := checkObjects(connection, version); err != nil {
		return b.problem(err)
	}
	if err := checkStructure(connection); err != nil {
		return b.problem(err)
	}
	if err := checkCounts(connection, version); err != nil {
		return b.problem(err)
	}
	return nil
}

// checkObjects compares tables, indices and triggers with those that this
// program makes. Others may have been added, except triggers, which could change
// what is stored.
func checkObjects(from queryer, version int) error {
	have, err := objects(from)
	if err != nil {
		return err
	}
	want, err := wantedObjects(version)
	if err != nil {
		return err
	}
	for o, text := range want {
		if have[o] != text {
			return fmt.Errorf("%w: %w: %s %s", errDamaged, errSchema, o.kind, o.name)
		}
	}
	for o := range have {
		if _, known := want[o]; o.kind == "trigger" && !known {
			return fmt.Errorf("%w: %w: trigger %s", errDamaged, errSchema, o.name)
		}
	}
	return nil
}

var (
	sqlComment = regexp.MustCompile(`--[^\n]*`)
	sqlBlanks  = regexp.MustCompile(`\s+`)
	sqlJoined  = regexp.MustCompile(` ?([(),;]) ?`) // parts words without a blank
)

// bareSQL gives a statement without comments, with one blank where words need
// it.
func bareSQL(text string) string {
	text = sqlBlanks.ReplaceAllString(sqlComment.ReplaceAllString(text, ""), " ")
	return strings.TrimSpace(sqlJoined.ReplaceAllString(text, "$1"))
}

// checkStructure has SQLite walk through all pages and indices. CHECK constraints
// are left out: they take ten times as long, and digests find more.
//
// Source: SQLite, "PRAGMA integrity_check", "PRAGMA ignore_check_constraints".
func checkStructure(connection *sql.Conn) error {
	ctx := context.Background()
	if _, err := connection.ExecContext(ctx, "PRAGMA ignore_check_constraints = 1"); err != nil {
		return err
	}
	var says string
	if err := connection.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&says); err != nil {
		return err
	}
	if says != "ok" {
		return fmt.Errorf("%w: %s", errDamaged, says)
	}
	_, err := connection.ExecContext(ctx, "PRAGMA ignore_check_constraints = 0")
	return err
}

// checkCounts makes sure that passes and edits are of machines that are there,
// that every row has its digest and every digest its row, and that the next pass
// and edit get the numbers after the last.
func checkCounts(from queryer, version int) error {
	var orphans int
	if err := from.QueryRowContext(context.Background(), "SELECT count(*) FROM pragma_foreign_key_check").Scan(&orphans); err != nil {
		return err
	}
	if orphans != 0 {
		return fmt.Errorf("%w: %d rows of machines that are not there", errDamaged, orphans)
	}
	if version < digestsSince {
		return nil
	}
	tables := digestedTables()
	for _, of := range slices.Sorted(maps.Keys(tables)) {
		table := tables[of]
		var without, extra, last, next int64
		query := fmt.Sprintf(`SELECT (SELECT count(*) FROM %[1]s WHERE %[2]s NOT IN (SELECT id FROM digests WHERE kind = ?1)),
			(SELECT count(*) FROM digests WHERE kind = ?1 AND id NOT IN (SELECT %[2]s FROM %[1]s)),
			(SELECT coalesce(max(%[2]s), 0) FROM %[1]s),
			(SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = '%[1]s')`, table.name, table.id)
		if err := from.QueryRowContext(context.Background(), query, string(of)).Scan(&without, &extra, &last, &next); err != nil {
			return err
		}
		if without != 0 || extra != 0 || (of != kindMachine && last != next) {
			return fmt.Errorf("%w: %s: %d rows without a digest, %d digests without a row, last %d, counted to %d",
				errDamaged, table.name, without, extra, last, next)
		}
	}
	return nil
}

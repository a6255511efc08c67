package book

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"

	"topnote/internal/sqlite"
)

// Every row of machines, passes and edits has the SHA-256 of its columns in the
// table digests. SQLite notices when the structure of its file is damaged, but
// not when a stored byte changes: 12,500 rpm would silently become 92,500. Rows
// are compared with their digests whenever they are read.

// kind is a kind of row that has a digest: a value of digests.kind.
type kind string

const (
	kindMachine kind = "machine"
	kindPass    kind = "pass"
	kindEdit    kind = "edit"
)

// digestedTable says how the rows of a kind are read.
type digestedTable struct {
	name    string // of the table
	id      string // its key
	columns string // in the order in which they are digested
	row     func() (columns []any)
}

// digestedTables are the tables whose rows have digests.
func digestedTables() map[kind]digestedTable {
	return map[kind]digestedTable{
		kindMachine: {"machines", "id", machineColumns, func() []any { return new(machineRow).columns() }},
		kindPass:    {"passes", "number", passColumns, func() []any { return new(passRow).columns() }},
		kindEdit:    {"edits", "id", editColumns, func() []any { return new(editRow).columns() }},
	}
}

// errDamaged marks content that this program cannot have written.
var errDamaged = errors.New("book: damaged")

// damaged says which item is damaged. It leaves an error of the database or of
// the connection to it as it is.
func damaged(of kind, id int64, err error) error {
	if _, known := sqlite.Code(err); known || errors.Is(err, sql.ErrConnDone) || errors.Is(err, sql.ErrTxDone) {
		return err
	}
	return fmt.Errorf("%w: %s %d: %w", errDamaged, of, id, err)
}

var (
	errDigest   = errors.New("its digest is another one")
	errNoDigest = errors.New("it has no digest")
	errContent  = errors.New("what it holds cannot be")
)

// digest gives the SHA-256, in hexadecimal, of columns that are given by pointer
// as for sql.Rows.Scan: *int64, *float64 that may be null, *string and *lateColumn.
func digest(columns []any) string {
	h := sha256.New()
	for _, c := range columns {
		switch v := c.(type) {
		case *int64:
			fmt.Fprintf(h, "integer %d\n", *v)
		case *string:
			fmt.Fprintf(h, "text %d ", len(*v))
			io.WriteString(h, *v+"\n")
		case *sql.Null[float64]:
			if v.Valid {
				fmt.Fprintf(h, "real %016x\n", math.Float64bits(v.V))
			} else {
				io.WriteString(h, "null\n")
			}
		case *lateColumn:
			if v.Valid {
				fmt.Fprintf(h, "real %016x\n", math.Float64bits(v.V))
			}
		default:
			panic(fmt.Sprintf("book: a column of type %T has no digest", c)) // a new type of column
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// lateColumn is a column that came after rows had digests, after all others: where it
// has nothing the digest is the one that the row had before.
type lateColumn struct{ sql.Null[float64] }

// scanDigested reads a row whose digest follows its columns, and whatever follows
// that, and compares the digest. The first column is the key of the row.
// sql.ErrNoRows comes back as it is.
func scanDigested(row rowScanner, of kind, columns []any, more ...any) error {
	var stored sql.Null[string]
	err := row.Scan(append(append(columns[:len(columns):len(columns)], &stored), more...)...)
	id := *columns[0].(*int64)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return err
	case err != nil:
		return damaged(of, id, err)
	case !stored.Valid:
		return damaged(of, id, errNoDigest)
	case stored.V != digest(columns):
		return damaged(of, id, errDigest)
	}
	return nil
}

// digestColumn is the digest of a row of a kind, as a column of a query.
func digestColumn(of kind, id string) string {
	return fmt.Sprintf("(SELECT d.sha256 FROM digests AS d WHERE d.kind = '%s' AND d.id = %s)", of, id)
}

// storeDigest stores the digest of a row that was just written. The row is read
// back, so that the digest is of what the file holds.
func storeDigest(tx *sql.Tx, of kind, id int64) error {
	table := digestedTables()[of]
	columns := table.row()
	query := fmt.Sprintf("SELECT %s FROM %s WHERE %s = ?", table.columns, table.name, table.id)
	if err := tx.QueryRow(query, id).Scan(columns...); err != nil {
		return err
	}
	return putDigest(tx, of, id, digest(columns))
}

func putDigest(tx *sql.Tx, of kind, id int64, sum string) error {
	_, err := tx.Exec("INSERT INTO digests (kind, id, sha256) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET sha256 = excluded.sha256",
		string(of), id, sum)
	return err
}

// digestAnew stores the digests of the rows that have none, or another, after a
// book was brought up to date from a version.
func digestAnew(tx *sql.Tx, version int) error {
	for of, table := range digestedTables() {
		if version >= digestsSince && (of != kindMachine || version >= buildsSince) {
			continue
		}
		ids, err := queryIDs(tx, table)
		if err != nil {
			return err
		}
		for _, id := range ids {
			if err := storeDigest(tx, of, id); err != nil {
				return err
			}
		}
	}
	return nil
}

// verifyMachinesTo3 compares the machines of a book of version 3 with their digests,
// before they get others.
func verifyMachinesTo3(tx *sql.Tx) error {
	rows, err := tx.Query(fmt.Sprintf("SELECT %s, %s FROM machines", machineColumnsTo3, digestColumn(kindMachine, "machines.id")))
	if err != nil {
		return err
	}
	_, err = collect(rows, func(r rowScanner) (struct{}, error) {
		columns := new(machineRow).columns()
		return struct{}{}, scanDigested(r, kindMachine, columns[:len(columns)-1])
	})
	return err
}

// queryIDs gives the keys of a table's rows.
func queryIDs(from queryer, table digestedTable) ([]int64, error) {
	rows, err := from.QueryContext(context.Background(), fmt.Sprintf("SELECT %s FROM %s", table.id, table.name))
	if err != nil {
		return nil, err
	}
	return collect(rows, func(r rowScanner) (int64, error) {
		var id int64
		return id, r.Scan(&id)
	})
}

// verifyAll compares every row with its digest.
func verifyAll(tx *sql.Tx) error {
	for of, table := range digestedTables() {
		query := fmt.Sprintf("SELECT %s, %s FROM %s", table.columns, digestColumn(of, table.name+"."+table.id), table.name)
		rows, err := tx.Query(query)
		if err != nil {
			return err
		}
		_, err = collect(rows, func(r rowScanner) (struct{}, error) {
			return struct{}{}, scanDigested(r, of, table.row())
		})
		if err != nil {
			return err
		}
	}
	return nil
}

package book

import (
	"context"
	"database/sql"
	"errors"
	"slices"
)

// queryer is a database, a connection or a transaction.
type queryer interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// write runs do in a transaction of its own. Nothing of it is kept when do
// fails.
func (b *Book) write(do func(*sql.Tx) error) error {
	if b.readOnly {
		return problemReadOnly(b.path)
	}
	tx, err := b.db.Begin()
	if err != nil {
		return b.problem(err)
	}
	defer tx.Rollback() // does nothing after Commit
	if err := do(tx); err != nil {
		return b.problem(err)
	}
	if err := b.replaced(); err != nil {
		return err
	}
	return b.problem(tx.Commit())
}

// read runs do on one state of the book, whatever others write meanwhile.
func (b *Book) read(do func(*sql.Tx) error) error {
	tx, err := b.db.BeginTx(context.Background(), &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return b.problem(err)
	}
	defer tx.Rollback() // nothing was written
	return b.problem(do(tx))
}

// problem puts an error of the database into words. It leaves a *Problem and the
// error of a caller's writer as they are.
func (b *Book) problem(err error) error {
	var problem *Problem
	var output *outputError
	switch {
	case err == nil, errors.As(err, &problem):
		return err
	case errors.As(err, &output):
		return output.error
	}
	return problemDatabase(b.path, b.busyTimeout, err)
}

// outputError is an error of the writer that an export goes to.
type outputError struct{ error }

// collect reads all rows and closes them.
func collect[T any](rows *sql.Rows, scan func(rowScanner) (T, error)) ([]T, error) {
	defer rows.Close()
	var all []T
	for rows.Next() {
		one, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return slices.Clip(all), rows.Err()
}

// rowScanner is one row of a result.
type rowScanner interface{ Scan(to ...any) error }

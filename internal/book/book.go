package book

import (
	"database/sql"
	"errors"
	"time"

	"topnote/internal/sqlite"
)

// Book is an open book. It may be used by several goroutines, and several
// programs may have the same file open at once: a writer waits for the other.
type Book struct {
	path        string
	file        identity // of the file that was opened, to notice when it is replaced
	db          *sql.DB
	readOnly    bool
	busyTimeout time.Duration    // how long to wait for another program that writes
	clock       func() time.Time // of edits and entries
}

// defaultBusyTimeout is how long one program waits for another that writes.
const defaultBusyTimeout = 10 * time.Second

// Open opens the book at path. It returns a *Problem of kind ErrNoBook where
// there is none, and one of kind ErrFile for a file that is not a book, is
// damaged, was written by a newer program, or cannot be read. A file that may
// not be written is opened for reading. The caller closes the book.
func Open(path string) (*Book, error) {
	if err := inspect(path); err != nil {
		return nil, err
	}
	return open(path, defaultBusyTimeout)
}

// Create opens the book at path, and makes it and its folder where there is
// none. The errors are those of Open, without ErrNoBook.
func Create(path string) (*Book, error) {
	b, err := Open(path)
	if !errors.Is(err, ErrNoBook) {
		return b, err
	}
	return create(path)
}

// Path gives the name of the file, as it was given to Open or Create.
func (b *Book) Path() string { return b.path }

// Close closes the book.
func (b *Book) Close() error { return b.problem(b.db.Close()) }

// connect opens the database, checks it and brings its schema up to date.
func (b *Book) connect(mode, more string) error {
	name, err := b.dataSourceName(mode)
	if err != nil {
		return problemCannotOpen(b.path, err)
	}
	if b.db, err = sql.Open(sqlite.DriverName, name+more); err != nil {
		return b.problem(err)
	}
	// One connection: a transaction then never waits for one of our own.
	b.db.SetMaxOpenConns(1)
	if err := b.prepare(); err != nil {
		b.db.Close() // the first error counts
		return err
	}
	return nil
}

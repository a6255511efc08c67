package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// Book is an open book. It may be used by several goroutines, and several
// programs may have the same file open at once: who writes waits for the other.
type Book struct {
	path     string
	db       *sql.DB
	readOnly bool
	clock    func() time.Time // of edits and entries
}

// Open opens the book at path. It returns a *Problem of kind ErrNoBook where
// there is none, and one of kind ErrFile for a file that is no book, belongs to
// a newer program, or cannot be read. A file that may not be written is opened
// for reading. The caller closes the book.
func Open(path string) (*Book, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, problemNoBook(path)
	case err != nil:
		return nil, problemCannotOpen(path, err)
	case info.IsDir():
		return nil, problemFolder(path)
	case !info.Mode().IsRegular():
		return nil, problemNotAFile(path)
	}
	return open(path)
}

// Create opens the book at path and makes it, with its folder, where there is
// none. The errors are those of Open, less ErrNoBook.
func Create(path string) (*Book, error) {
	b, err := Open(path)
	if !errors.Is(err, ErrNoBook) {
		return b, err
	}
	const folderMode, fileMode = 0o700, 0o600 // who uses which machine is nobody else's business
	if err := os.MkdirAll(filepath.Dir(path), folderMode); err != nil {
		return nil, problemCannotMake(path, err)
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, fileMode)
	if errors.Is(err, fs.ErrExist) {
		return open(path) // another program was quicker
	}
	if err != nil {
		return nil, problemCannotMake(path, err)
	}
	if err := f.Close(); err != nil {
		return nil, problemCannotMake(path, err)
	}
	b, err = open(path)
	if info, errStat := os.Stat(path); err != nil && errStat == nil && info.Size() == 0 {
		os.Remove(path) // nothing could be begun in it, as on a full disk
	}
	return b, err
}

// Path gives the name of the file, as it was given to Open or Create.
func (b *Book) Path() string { return b.path }

// Close closes the book.
func (b *Book) Close() error {
	if err := b.db.Close(); err != nil {
		return problemDatabase(b.path, err)
	}
	return nil
}

// open connects to a file that is there.
func open(path string) (*Book, error) {
	b := &Book{path: path, clock: time.Now}
	mode := "rw"
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	switch {
	case err == nil:
		f.Close() // nothing was written
	case isReadOnly(err):
		b.readOnly, mode = true, "ro"
	default:
		return nil, problemCannotOpen(path, err)
	}
	err = b.connect(mode, "")
	if err != nil && b.readOnly && !hasLog(path) {
		// A folder that may not be written has no room for the files that SQLite
		// keeps beside the book; with nothing in its log, the file alone is whole.
		err = b.connect(mode, "&immutable=1")
	}
	if err != nil {
		return nil, err
	}
	return b, nil
}

// connect opens the database and brings its schema up to date.
func (b *Book) connect(mode, more string) error {
	name, err := source(b.path, mode)
	if err != nil {
		return problemCannotOpen(b.path, err)
	}
	if b.db, err = sql.Open("sqlite", name+more); err != nil {
		return problemDatabase(b.path, err)
	}
	// One connection: a transaction then never waits for one of our own.
	b.db.SetMaxOpenConns(1)
	if err := b.migrate(); err != nil {
		b.db.Close() // the first error counts
		return err
	}
	return nil
}

// source gives the name by which the driver opens a file: a URI, in which no
// character of the path can be taken for an option.
func source(path, mode string) (string, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	full = filepath.ToSlash(full)
	if !strings.HasPrefix(full, "/") {
		full = "/" + full // a drive letter
	}
	options := url.Values{
		"mode":    {mode},
		"_txlock": {"immediate"}, // no reader ever has to turn into a writer
		"_pragma": {
			fmt.Sprintf("busy_timeout(%d)", patience.Milliseconds()),
			"foreign_keys(1)",
			"synchronous(full)", // a stored pass outlives a power cut, too
		},
	}
	return (&url.URL{Scheme: "file", OmitHost: true, Path: full, RawQuery: options.Encode()}).String(), nil
}

// patience is how long one program waits for another that writes.
const patience = 10 * time.Second

// isReadOnly reports whether an error says that a file may be read only.
func isReadOnly(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, errReadOnlySystem)
}

// hasLog reports whether there may be anything in the write-ahead log of a
// book.
func hasLog(path string) bool {
	info, err := os.Stat(path + "-wal")
	return !errors.Is(err, fs.ErrNotExist) && (err != nil || info.Size() > 0)
}

// write runs do in a transaction, alone with the book. Nothing of it is kept
// when do fails.
func (b *Book) write(do func(*sql.Tx) error) error {
	if b.readOnly {
		return problemReadOnly(b.path)
	}
	tx, err := b.db.Begin()
	if err != nil {
		return problemDatabase(b.path, err)
	}
	defer tx.Rollback() // does nothing after Commit
	if err := do(tx); err != nil {
		return b.explain(err)
	}
	if err := tx.Commit(); err != nil {
		return problemDatabase(b.path, err)
	}
	return nil
}

// read runs do on one state of the book, whatever others write meanwhile.
func (b *Book) read(do func(*sql.Tx) error) error {
	tx, err := b.db.BeginTx(context.Background(), &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return problemDatabase(b.path, err)
	}
	defer tx.Rollback() // nothing was written
	if err := do(tx); err != nil {
		return b.explain(err)
	}
	return nil
}

// explain puts what the database says into words and leaves a *Problem as it
// is.
func (b *Book) explain(err error) error {
	var problem *Problem
	if errors.As(err, &problem) {
		return err
	}
	return problemDatabase(b.path, err)
}

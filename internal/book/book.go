package book

import (
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
// programs may have the same file open at once: a writer waits for the other.
type Book struct {
	path        string
	file        fs.FileInfo // that was opened, to notice when it is replaced
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
	case info.Size() == 1: // which SQLite takes for an empty file, and writes over
		return nil, problemNotABook(path, nil)
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
	const folderMode, fileMode = 0o700, 0o600 // private: it shows who used which machine
	if err := os.MkdirAll(filepath.Dir(path), folderMode); err != nil {
		return nil, problemCannotMake(path, err)
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, fileMode)
	if errors.Is(err, fs.ErrExist) {
		return open(path, defaultBusyTimeout) // another program was quicker
	}
	if err != nil {
		return nil, problemCannotMake(path, err)
	}
	if err := f.Close(); err != nil {
		return nil, problemCannotMake(path, err)
	}
	b, err = open(path, defaultBusyTimeout)
	if info, errStat := os.Stat(path); err != nil && errStat == nil && info.Size() == 0 {
		os.Remove(path) // nothing was written to it, as on a full disk
	}
	return b, err
}

// Path gives the name of the file, as it was given to Open or Create.
func (b *Book) Path() string { return b.path }

// Close closes the book.
func (b *Book) Close() error { return b.problem(b.db.Close()) }

// open connects to a file that exists.
func open(path string, busyTimeout time.Duration) (*Book, error) {
	b := &Book{path: path, busyTimeout: busyTimeout, clock: time.Now}
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
	if b.file, err = os.Stat(path); err != nil {
		return nil, problemCannotOpen(path, err)
	}
	err = b.connect(mode, "")
	if err != nil && b.readOnly && !hasLog(path) {
		// SQLite keeps files beside the book, which it cannot make in a folder that
		// may not be written. Without a log, the file alone is complete.
		err = b.connect(mode, "&immutable=1")
	}
	if err != nil {
		return nil, err
	}
	return b, nil
}

// connect opens the database, checks it and brings its schema up to date.
func (b *Book) connect(mode, more string) error {
	name, err := b.dataSourceName(mode)
	if err != nil {
		return problemCannotOpen(b.path, err)
	}
	if b.db, err = sql.Open("sqlite", name+more); err != nil {
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

// dataSourceName gives the URI by which the driver opens the file, so that no
// character of the path is taken for an option.
func (b *Book) dataSourceName(mode string) (string, error) {
	full, err := filepath.Abs(b.path)
	if err != nil {
		return "", err
	}
	full = filepath.ToSlash(full)
	if !strings.HasPrefix(full, "/") {
		full = "/" + full // a drive letter
	}
	options := url.Values{
		"mode":    {mode},
		"_txlock": {"immediate"}, // a transaction that reads first can always go on to write
		"_pragma": {
			fmt.Sprintf("busy_timeout(%d)", b.busyTimeout.Milliseconds()),
			"foreign_keys(1)",
			"synchronous(full)", // a stored pass survives a power cut
		},
	}
	return (&url.URL{Scheme: "file", OmitHost: true, Path: full, RawQuery: options.Encode()}).String(), nil
}

// isReadOnly reports whether an error says that a file may only be read.
func isReadOnly(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, errReadOnlySystem)
}

// hasLog reports whether there may be anything in the write-ahead log of a
// book.
func hasLog(path string) bool {
	info, err := os.Stat(path + "-wal")
	return !errors.Is(err, fs.ErrNotExist) && (err != nil || info.Size() > 0)
}

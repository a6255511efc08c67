package book

import (
	"database/sql"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestLockedForLong: another program keeps the book to itself, or only writes to
// it, which readers need not wait for.
func TestLockedForLong(t *testing.T) {
	t.Parallel()
	for lock, readable := range map[string]bool{"PRAGMA locking_mode = exclusive; BEGIN EXCLUSIVE": false, "BEGIN IMMEDIATE": true} {
		made := newBook(t)
		path := made.path
		if err := made.Close(); err != nil {
			t.Fatal(err)
		}
		other, err := sql.Open("sqlite", path)
		if err != nil {
			t.Fatal(err)
		}
		defer other.Close()
		other.SetMaxOpenConns(1)
		if _, err := other.Exec(lock); err != nil {
			t.Fatal(err)
		}
		b, err := open(path, 50*time.Millisecond)
		if !readable {
			wantProblem(t, err, ErrFile, "another program has been writing to the book")
		} else if err != nil {
			t.Fatal(err)
		} else {
			defer b.Close()
			if all, err := b.Machines(); err != nil || len(all) != 1 {
				t.Errorf("%s: %v, %v", lock, all, err)
			}
			wantProblem(t, b.AddMachine(madeMachine("another")), ErrFile, "another program has been writing to the book")
		}
		if _, err := other.Exec("ROLLBACK"); err != nil {
			t.Fatal(err)
		}
		if err := other.Close(); err != nil {
			t.Fatal(err)
		}
		after, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer after.Close()
		if err := after.AddMachine(madeMachine("another")); err != nil {
			t.Errorf("%s, when it is done: %v", lock, err)
		}
	}
}

// TestReplacedWhileOpen: an entry must not go into a file that has no name any
// more.
func TestReplacedWhileOpen(t *testing.T) {
	t.Parallel()
	for what, change := range map[string]func(path string) error{
		"removed": os.Remove,
		"moved":   func(path string) error { return os.Rename(path, path+".old") },
		"replaced": func(path string) error {
			return errors.Join(os.Rename(path, path+".old"), os.WriteFile(path, nil, 0o600))
		},
	} {
		b := newBook(t)
		if err := change(b.path); err != nil {
			t.Fatal(err)
		}
		_, err := b.AddPass(madePass("bench saw", "a", 1, 12500), false)
		wantProblem(t, err, ErrFile, "was moved, removed or replaced while it was open")
		wantProblem(t, b.AddMachine(madeMachine("b")), ErrFile, "nothing was stored")
		if all, err := b.Passes(""); err != nil || len(all) != 0 {
			t.Errorf("%s: %v, %v", what, all, err)
		}
	}
}

// TestExportToFullDisk: what is wrong with the place of an export is not said of
// the book.
func TestExportToFullDisk(t *testing.T) {
	t.Parallel()
	if err := filledBook(t).Export(fullWriter{}); !errors.Is(err, errNoRoom) {
		t.Errorf("got %v", err)
	} else if p := (*Problem)(nil); errors.As(err, &p) {
		t.Errorf("it blames the book: %v", err)
	}
}

var errNoRoom = errors.New("no room")

type fullWriter struct{}

func (fullWriter) Write([]byte) (int, error) { return 0, errNoRoom }

// TestDamagedWhileOpen: what happens to the file after it was checked is noticed
// when it is read.
func TestDamagedWhileOpen(t *testing.T) {
	t.Parallel()
	for what, damage := range map[string]func(path string, size int64) error{
		"cut": func(path string, size int64) error { return os.Truncate(path, size/2) },
		"overwritten": func(path string, size int64) error {
			return os.WriteFile(path, randomBytes(int(size)), 0o600)
		},
	} {
		path := filepath.Join(t.TempDir(), "book.sqlite")
		if err := os.WriteFile(path, smallBook(t), 0o600); err != nil {
			t.Fatal(err)
		}
		b, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer b.Close()
		info, err := os.Stat(path)
		if err == nil {
			err = damage(path, info.Size())
		}
		if err != nil {
			t.Fatal(err)
		}
		wantKnown(t, what, b.Export(io.Discard))
		_, err = b.AddPass(madePass("saw", "new", 5, 12400), false)
		wantKnown(t, what, err)
	}
}

// TestBackupOfDamage: a backup of a book with a changed row would look like a good
// one, so there is none.
func TestBackupOfDamage(t *testing.T) {
	t.Parallel()
	b := filledBook(t)
	if _, err := b.db.Exec("UPDATE machines SET max_rpm = 20000"); err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	wantProblem(t, b.Backup(filepath.Join(folder, "copy.sqlite")), ErrFile, "is damaged")
	if left, err := os.ReadDir(folder); err != nil || len(left) != 0 {
		t.Errorf("it left %v, %v", left, err)
	}
}

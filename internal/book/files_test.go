package book

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// oneSentence wants what a person gets to read of an error to be one line.
func oneSentence(t *testing.T, err error) {
	t.Helper()
	if err == nil || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v, want one sentence", err)
	}
}

// badFile is a file that cannot be opened as a book.
type badFile struct {
	path string
	kind error
	says string
}

// badFiles makes them in a folder. whole is the path of a book.
func badFiles(t *testing.T, folder, whole string) map[string]badFile {
	t.Helper()
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	database := func(name, statements string) string {
		path := filepath.Join(folder, name)
		db, err := sql.Open("sqlite", path)
		if err == nil {
			_, err = db.Exec(statements)
		}
		if err := errors.Join(err, db.Close()); err != nil {
			t.Fatal(err)
		}
		return path
	}
	text, err := os.ReadFile(whole)
	if err != nil {
		t.Fatal(err)
	}
	return map[string]badFile{
		"missing":        {filepath.Join(folder, "none.sqlite"), ErrNoBook, "there is no book at"},
		"folder":         {folder, ErrFile, "is a folder"},
		"words":          {write("words", "This is a letter, and it is longer than a header of a database is, which has a hundred bytes."), ErrFile, "is not a book"},
		"short":          {write("short", "SQLite"), ErrFile, "is not a book"},
		"one byte":       {write("one", "x"), ErrFile, "is not a book"}, // which SQLite takes for an empty file
		"cut":            {write("cut", string(text[:len(text)/2])), ErrFile, "is damaged"},
		"other database": {database("other", "CREATE TABLE songs (name TEXT)"), ErrFile, "is a database, but not a book"},
		"other versions": {database("versions", "PRAGMA user_version = 3"), ErrFile, "is a database, but not a book"},
		"other program":  {database("program", "PRAGMA application_id = 7; CREATE TABLE machines (name TEXT)"), ErrFile, "is a database, but not a book"},
		"newer":          {database("newer", fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 99; CREATE TABLE x (y)", applicationID)), ErrFile, "version 99 of its form"},
		"below a file":   {filepath.Join(whole, "book"), ErrFile, "cannot be opened"},
	}
}

func TestBadFiles(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	whole := filepath.Join(folder, "whole.sqlite")
	b, err := Create(whole)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(b.AddMachine(madeMachine("saw")), b.Close()); err != nil {
		t.Fatal(err)
	}
	for name, c := range badFiles(t, folder, whole) {
		t.Run(name, func(t *testing.T) {
			before, _ := os.ReadFile(c.path)
			_, err := Open(c.path)
			wantProblem(t, err, c.kind, c.says)
			if !errors.Is(c.kind, ErrNoBook) {
				_, err = Create(c.path)
				wantProblem(t, err, c.kind, c.says)
			}
			if after, _ := os.ReadFile(c.path); string(after) != string(before) {
				t.Error("the file was changed")
			}
		})
	}
	if _, err := os.Stat(filepath.Join(folder, "none.sqlite")); !errors.Is(err, fs.ErrNotExist) {
		t.Error("Open made a file")
	}
	_, err = Create(filepath.Join(whole, "sub", "book"))
	oneSentence(t, err)
}

// TestEmptyFile: what a program that was stopped in the middle of Create leaves
// is begun again.
func TestEmptyFile(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "empty")
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	b, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if err := b.AddMachine(madeMachine("saw")); err != nil {
		t.Error(err)
	}
}

// TestCreateIsPrivate: nobody else may read who used which machine.
func TestCreateIsPrivate(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("Windows keeps permissions otherwise")
	}
	path := filepath.Join(t.TempDir(), "new", "folder", "book.sqlite")
	b, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	for name, want := range map[string]fs.FileMode{path: 0o600, filepath.Dir(path): 0o700} {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != want {
			t.Errorf("%s: %v, %v, want %v", name, info.Mode().Perm(), err, want)
		}
	}
}

// TestFullDisk has SQLite's own limit on pages stand for a disk without room:
// both come out as SQLITE_FULL (SQLite, "Result and Error Codes").
func TestFullDisk(t *testing.T) {
	t.Parallel()
	b := newBook(t)
	if _, err := b.AddPass(madePass("bench saw", "a", 1, 12500), false); err != nil {
		t.Fatal(err)
	}
	if _, err := b.db.Exec("PRAGMA max_page_count = 1"); err != nil { // no more than there are
		t.Fatal(err)
	}
	stored := 1
	for {
		_, err := b.AddPass(madePass("bench saw", fmt.Sprint(stored), 1, 12500), false)
		if err != nil {
			wantProblem(t, err, ErrFile, "is full, so nothing was stored")
			break
		}
		if stored++; stored > 100 {
			t.Fatal("the disk never fills")
		}
	}
	if all, err := b.Passes(""); err != nil || len(all) != stored {
		t.Errorf("%d passes, %v; want %d", len(all), err, stored)
	}
	if _, err := b.db.Exec("PRAGMA max_page_count = 1000000"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.AddPass(madePass("bench saw", "room again", 1, 12500), false); err != nil {
		t.Errorf("with room again: %v", err)
	}
}

// TestReadOnly opens a book for reading as Open does where the file may not be
// written; cmd/topnote tries it with real permissions.
func TestReadOnly(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "book.sqlite")
	b, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(b.AddMachine(madeMachine("saw")), b.Close()); err != nil {
		t.Fatal(err)
	}
	for _, more := range []string{"", "&immutable=1"} {
		r := &Book{path: path, readOnly: true}
		if err := r.connect("ro", more); err != nil {
			t.Fatalf("%q: %v", more, err)
		}
		if all, err := r.Machines(); err != nil || len(all) != 1 {
			t.Errorf("%q: %v, %v", more, all, err)
		}
		if _, err := r.Passes("saw"); err != nil {
			t.Errorf("%q: %v", more, err)
		}
		wantProblem(t, r.AddMachine(madeMachine("other")), ErrFile, "may be read but not written")
		_, err := r.AddPass(madePass("saw", "a", 1, 12500), false)
		wantProblem(t, err, ErrFile, "may be read but not written")
		r.Close()
	}
}

func TestDataFolder(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("the paths below are not absolute on Windows")
	}
	for _, c := range []struct{ system, xdg, local, home, want, source string }{
		{"linux", "/data", "", "/home/a", "/data", "XDG Base Directory Specification"},
		{"linux", "", "", "/home/a", "/home/a/.local/share", "XDG Base Directory Specification: the default"},
		{"linux", "data", "", "/home/a", "/home/a/.local/share", "XDG Base Directory Specification: a relative path is ignored"},
		{"freebsd", "", "", "/home/a", "/home/a/.local/share", "as Linux"},
		{"darwin", "", "", "/Users/a", "/Users/a/Library/Application Support", "common practice"},
		{"windows", "", "/users/a/local", "/users/a", "/users/a/local", "common practice"},
		{"windows", "", "", "/users/a", "/users/a/AppData/Local", "common practice"},
		{"linux", "", "", "", "", "no home"},
	} {
		environment := func(name string) string {
			return map[string]string{"XDG_DATA_HOME": c.xdg, "LocalAppData": c.local}[name]
		}
		if got := dataFolder(c.system, c.home, environment); got != c.want {
			t.Errorf("%v: got %q", c, got)
		}
	}
}

// TestDefaultPath is not parallel: it sets the environment.
func TestDefaultPath(t *testing.T) {
	folder := t.TempDir()
	t.Setenv("XDG_DATA_HOME", folder)
	got, err := DefaultPath()
	if want := filepath.Join(folder, "topnote", "book.sqlite"); err != nil || got != want {
		t.Errorf("got %q, %v, want %q", got, err, want)
	}
}

package book

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"topnote/internal/race"
	"topnote/internal/report"
)

// TestDamagedLog cuts and spoils the write-ahead log that a killed program left:
// a book without the end of its log is the book of an earlier moment.
func TestDamagedLog(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path := filepath.Join(folder, "book.sqlite")
	b, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if err := b.AddMachine(madeMachine("saw")); err != nil {
		t.Fatal(err)
	}
	const passes = 5
	earlier := map[string]bool{exported(t, b): true} // what was exported after each entry
	if _, err := b.db.Exec("PRAGMA wal_checkpoint(truncate)"); err != nil {
		t.Fatal(err)
	}
	for i := range passes {
		if _, err := b.AddPass(madePass("saw", fmt.Sprint(i), i, report.Speed(12000+100*i)), false); err != nil {
			t.Fatal(err)
		}
		earlier[exported(t, b)] = true
	}
	file, errFile := os.ReadFile(path)
	log, errLog := os.ReadFile(path + "-wal")
	if err := errors.Join(errFile, errLog); err != nil || len(log) == 0 {
		t.Fatalf("a log of %d bytes, %v", len(log), err)
	}
	try := func(what string, log []byte) {
		t.Helper()
		tryLog(t, filepath.Join(folder, "copied.sqlite"), what, file, log, earlier)
	}
	try("whole", log)
	every := 997
	if race.Enabled {
		every = 9973
	}
	for at := 0; at < len(log); at += every {
		try(fmt.Sprintf("cut at %d", at), log[:at])
		spoiled := bytes.Clone(log)
		spoiled[at] ^= 0x10
		try(fmt.Sprintf("byte %d", at), spoiled)
	}
	try("random", randomBytes(len(log)))
}

// tryLog opens a file with a log beside it: it is refused in a known sentence, or
// exports what the book held after one of its entries.
func tryLog(t *testing.T, path, what string, file, log []byte, earlier map[string]bool) {
	t.Helper()
	for _, beside := range []string{"", "-wal", "-shm"} {
		if err := os.RemoveAll(path + beside); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(os.WriteFile(path, file, 0o600), os.WriteFile(path+"-wal", log, 0o600)); err != nil {
		t.Fatal(err)
	}
	b, err := Open(path)
	if err != nil {
		wantKnown(t, what, err)
		return
	}
	defer b.Close()
	if !earlier[exported(t, b)] {
		t.Errorf("%s: the book is not one of an earlier moment", what)
	}
}

func randomBytes(n int) []byte {
	rng := rand.New(rand.NewPCG(2, 2))
	all := make([]byte, n)
	for i := range all {
		all[i] = byte(rng.Uint32())
	}
	return all
}

// TestWrongLog: the log of another book beside a backup that was put in place
// without taking it away.
func TestWrongLog(t *testing.T) {
	t.Parallel()
	b := filledBook(t)
	backup := filepath.Join(t.TempDir(), "backup.sqlite")
	if err := b.Backup(backup); err != nil {
		t.Fatal(err)
	}
	for i := range 5 {
		if _, err := b.AddPass(madePass("bench saw", fmt.Sprint("more ", i), i, 12500), false); err != nil {
			t.Fatal(err)
		}
	}
	log, err := os.ReadFile(b.path + "-wal")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(backup+"-wal", log, 0o600); err != nil {
		t.Fatal(err)
	}
	restored, err := Open(backup)
	if err != nil {
		wantKnown(t, "open", err)
		return
	}
	defer restored.Close()
	var out bytes.Buffer
	if err := restored.Export(&out); err != nil {
		wantKnown(t, "export", err)
		return
	}
	if out.String() != exported(t, b) {
		t.Error("backup and log make a book that never was")
	}
}

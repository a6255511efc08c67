package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// bookCommand runs a book command on a book, as nobody for the superuser, from
// whom nothing is hidden.
func bookCommand(t *testing.T, asOther bool, path string, args ...string) (out, errs string, err error) {
	t.Helper()
	cmd := exec.Command(program, append([]string{"book", "--book", path}, args...)...)
	if asOther && os.Geteuid() == 0 {
		if err := errors.Join(os.Chmod(filepath.Dir(program), 0o755), asNobody(cmd)); err != nil {
			t.Skip("this system cannot run a program as nobody:", err)
		}
	}
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	err = cmd.Run()
	return stdout.String(), stderr.String(), err
}

// TestBookReadOnly: a book that may be read but not written is read, in a folder
// that may not be written either, and says in one sentence that it takes nothing;
// one that may not be read says so.
func TestBookReadOnly(t *testing.T) {
	folder := t.TempDir()
	for dir := folder; dir != os.TempDir() && dir != "/"; dir = filepath.Dir(dir) {
		if err := os.Chmod(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(folder, "book.sqlite")
	if _, errs, err := bookCommand(t, false, path, "machine", "add", "saw", "--limit", "13500"); err != nil {
		t.Fatal(err, errs)
	}
	chmod := func(name string, mode os.FileMode) {
		t.Helper()
		if err := os.Chmod(name, mode); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() { os.Chmod(folder, 0o755) })
	chmod(path, 0o444)
	chmod(folder, 0o555)
	out, errs, err := bookCommand(t, true, path, "machine", "list")
	if err != nil || !strings.Contains(out, "13,500") || errs != "" {
		t.Errorf("reading: %v, %q, %q", err, out, errs)
	}
	_, errs, err = bookCommand(t, true, path, "machine", "add", "other")
	if want := "topnote: the book " + path + " may be read but not written; "; err == nil || !strings.HasPrefix(errs, want) || strings.Count(errs, "\n") != 1 {
		t.Errorf("writing: %v, %q, want %q", err, errs, want)
	}
	chmod(path, 0o000)
	_, errs, err = bookCommand(t, true, path, "machine", "list")
	if want := "topnote: the book " + path + " cannot be opened; check that you may read it"; err == nil || !strings.HasPrefix(errs, want) {
		t.Errorf("hidden: %v, %q, want %q", err, errs, want)
	}
}

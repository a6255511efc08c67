package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func write(text string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}
}

func wantContent(t *testing.T, path, want string) {
	t.Helper()
	if got, err := os.ReadFile(path); err != nil || string(got) != want {
		t.Errorf("%s holds %q (%v), want %q", path, got, err, want)
	}
}

// TestWriteFileWholeOrNot: when writing breaks off, what was there stays and
// nothing is left beside it.
func TestWriteFileWholeOrNot(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "report.txt")
	if err := writeFile(path, write("first")); err != nil {
		t.Fatal(err)
	}
	wantContent(t, path, "first")
	full := errors.New("the disk is full")
	err := writeFile(path, func(w io.Writer) error {
		return errors.Join(write("half of the sec")(w), full)
	})
	if !errors.Is(err, full) || !strings.Contains(err.Error(), "report.txt") || strings.Contains(err.Error(), ".topnote-") {
		t.Errorf("a full disk gives %v", err)
	}
	wantContent(t, path, "first")
	if err := writeFile(path, write("second")); err != nil {
		t.Fatal(err)
	}
	wantContent(t, path, "second")
	if entries, err := os.ReadDir(folder); err != nil || len(entries) != 1 {
		t.Errorf("the folder holds %v (%v), want one file", entries, err)
	}
}

// TestWriteFileThroughLink: a link stays a link, and its target is replaced.
func TestWriteFileThroughLink(t *testing.T) {
	folder := t.TempDir()
	target, link := filepath.Join(folder, "target"), filepath.Join(folder, "link")
	if err := os.WriteFile(target, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(target, link); err != nil {
		t.Skip("this system makes no links:", err)
	}
	if err := writeFile(link, write("new")); err != nil {
		t.Fatal(err)
	}
	wantContent(t, target, "new")
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is %v (%v)", info, err)
	}
}

// TestWriteFileNotAFile: a device or a folder is not replaced by a file.
func TestWriteFileNotAFile(t *testing.T) {
	for _, path := range []string{t.TempDir(), os.DevNull} {
		var u *usageError
		if err := writeFile(path, write("x")); !errors.As(err, &u) {
			t.Errorf("writing to %s gives %v, want a usage error", path, err)
		}
	}
}

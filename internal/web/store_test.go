package web

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
)

// TestSweep leaves folders behind as crashes do, and others beside them: only
// those of servers that are no more are swept.
func TestSweep(t *testing.T) {
	parent := t.TempDir()
	alive, err := openStore(parent, 1000)
	if err != nil {
		t.Fatal(err)
	}
	defer alive.close()
	if _, err := alive.put(strings.NewReader("a recording")); err != nil {
		t.Fatal(err)
	}
	crashed := filepath.Join(parent, "topnote-serve-1")
	write := func(path, text string) {
		t.Helper()
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, []byte(text), 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	write(filepath.Join(crashed, lockName), "")
	write(filepath.Join(crashed, newID()), "a recording")
	kept := []string{
		filepath.Join(parent, "topnote-serve-2", "letter.txt"), // no lock: not ours
		filepath.Join(parent, "elsewhere", lockName),
		filepath.Join(parent, "topnote-serve-file"),
		filepath.Join(parent, "precious", "letter.txt"),
	}
	for _, path := range kept {
		write(path, "to be kept")
	}
	links := os.Symlink(filepath.Join(parent, "precious"), filepath.Join(parent, "topnote-serve-3"))
	write(filepath.Join(parent, "precious", lockName), "")
	write(filepath.Join(parent, "topnote-serve-4", "letter.txt"), "to be kept")
	links = errors.Join(links, os.Symlink(kept[1], filepath.Join(parent, "topnote-serve-4", lockName)))
	if links != nil {
		t.Logf("without links: %v", links)
	}
	kept = append(kept, filepath.Join(parent, "topnote-serve-4", "letter.txt"))

	next, err := openStore(parent, 1000)
	if err != nil {
		t.Fatal(err)
	}
	defer next.close()
	if _, err := os.Stat(crashed); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("what a crash left is still there (%v)", err)
	}
	for _, path := range kept {
		if text, err := os.ReadFile(path); string(text) != "to be kept" {
			t.Errorf("%s was swept (%v)", path, err)
		}
	}
	if files, err := os.ReadDir(alive.folder); len(files) != 2 {
		t.Errorf("the folder of a server that lives holds %v (%v)", files, err)
	}
	for _, s := range []*store{alive, next} {
		if info, err := os.Stat(s.folder); err != nil || info.Mode().Perm() != 0o700 {
			t.Errorf("others may look into %s: %v (%v)", s.folder, info.Mode(), err)
		}
	}
}

// TestStoreIsBounded fills a store, and wants room again after each kind of end.
func TestStoreIsBounded(t *testing.T) {
	s, err := openStore(t.TempDir(), 100)
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	text := func(n int) io.Reader { return iotest.OneByteReader(strings.NewReader(strings.Repeat("x", n))) }
	first, err := s.put(text(60))
	if err != nil {
		t.Fatal(err)
	}
	var full *fault
	if _, err := s.put(text(41)); !errors.As(err, &full) || full.code != codeBusy {
		t.Errorf("60 and 41 bytes of 100: %v", err)
	}
	broken := errors.New("broken off")
	if _, err := s.put(io.MultiReader(text(10), iotest.ErrReader(broken))); !errors.Is(err, broken) {
		t.Errorf("what breaks off: %v", err)
	}
	if s.used.Load() != 60 {
		t.Errorf("%d bytes are counted after 60 were kept", s.used.Load())
	}
	first.share()
	first.release()
	if _, err := os.Stat(first.path); err != nil || s.used.Load() != 60 {
		t.Errorf("gone while it is held: %v", err)
	}
	first.release()
	if files, _ := os.ReadDir(s.folder); len(files) != 1 || s.used.Load() != 0 {
		t.Errorf("left over: %v, %d bytes", files, s.used.Load())
	}
}

package jobs

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/iotest"

	"topnote/internal/web/fault"
)

// TestSweep leaves folders behind as crashes do, and others beside them: only
// those of servers that are no more are swept.
func TestSweep(t *testing.T) {
	parent := t.TempDir()
	alive, aliveFolder := openStore(t, parent, 1000)
	if _, err := alive.Put(strings.NewReader("a recording")); err != nil {
		t.Fatal(err)
	}
	crashed := filepath.Join(parent, "topnote-serve-1")
	writeFile(t, filepath.Join(crashed, lockName), "")
	writeFile(t, filepath.Join(crashed, newID()), "a recording")
	kept := notSwept(t, parent)

	_, nextFolder := openStore(t, parent, 1000)
	if _, err := os.Stat(crashed); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("what a crash left is still there (%v)", err)
	}
	for _, path := range kept {
		if text, err := os.ReadFile(path); string(text) != "to be kept" {
			t.Errorf("%s was swept (%v)", path, err)
		}
	}
	if files, err := os.ReadDir(aliveFolder.path); len(files) != 2 {
		t.Errorf("the folder of a server that lives holds %v (%v)", files, err)
	}
	for _, f := range []*Folder{aliveFolder, nextFolder} {
		if info, err := os.Stat(f.path); err != nil || info.Mode().Perm() != 0o700 {
			t.Errorf("others may look into %s: %v (%v)", f.path, info.Mode(), err)
		}
	}
}

// notSwept writes files below parent that a sweep must not touch, and gives those of
// them that hold "to be kept".
func notSwept(t *testing.T, parent string) []string {
	t.Helper()
	in := func(names ...string) string { return filepath.Join(append([]string{parent}, names...)...) }
	kept := []string{
		in("topnote-serve-2", "letter.txt"), // no lock: not ours
		in("elsewhere", lockName),
		in("topnote-serve-file"),
		in("precious", "letter.txt"),
		in("topnote-serve-4", "letter.txt"),
	}
	for _, path := range kept {
		writeFile(t, path, "to be kept")
	}
	writeFile(t, in("precious", lockName), "")
	if err := errors.Join(
		os.Symlink(in("precious"), in("topnote-serve-3")),
		os.Symlink(in("elsewhere", lockName), in("topnote-serve-4", lockName)),
	); err != nil {
		t.Logf("without links: %v", err) // some systems let only an administrator make them
	}
	return kept
}

func writeFile(t *testing.T, path, text string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, []byte(text), 0o600)); err != nil {
		t.Fatal(err)
	}
}

// openStore opens a store in a folder below parent until the test ends.
func openStore(t *testing.T, parent string, limit int64) (*Store, *Folder) {
	t.Helper()
	f, err := OpenFolder(parent)
	if err != nil {
		t.Fatal(err)
	}
	s := NewStore(f, limit)
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s, f
}

// TestStoreIsBounded fills a store, and wants room again after each kind of end.
func TestStoreIsBounded(t *testing.T) {
	s, folder := openStore(t, t.TempDir(), 100)
	text := func(n int) io.Reader { return iotest.OneByteReader(strings.NewReader(strings.Repeat("x", n))) }
	first, err := s.Put(text(60))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Put(text(41)); err == nil || fault.Of(err).Code != fault.CodeBusy {
		t.Errorf("60 and 41 bytes of 100: %v", err)
	}
	broken := errors.New("broken off")
	if _, err := s.Put(io.MultiReader(text(10), iotest.ErrReader(broken))); !errors.Is(err, broken) {
		t.Errorf("what breaks off: %v", err)
	}
	if s.Used() != 60 {
		t.Errorf("%d bytes are counted after 60 were kept", s.Used())
	}
	first.Retain()
	first.Release()
	if _, err := os.Stat(filepath.Join(folder.path, first.name)); err != nil || s.Used() != 60 {
		t.Errorf("gone while it is held: %v", err)
	}
	first.Release()
	if files, _ := os.ReadDir(folder.path); len(files) != 1 || s.Used() != 0 {
		t.Errorf("left over: %v, %d bytes", files, s.Used())
	}
}

// TestSoundIsMadeOnce has the sound of a recording be wanted by several at once,
// and, before that, fail: it is made once, and goes with the recording.
func TestSoundIsMadeOnce(t *testing.T) {
	s, folder := openStore(t, t.TempDir(), 100)
	u, err := s.Put(strings.NewReader("x"))
	if err != nil {
		t.Fatal(err)
	}
	broken := errors.New("broken off")
	if _, err := u.Sound(func(w io.WriteSeeker) error { return broken }); !errors.Is(err, broken) {
		t.Errorf("sound that breaks off: %v", err)
	}
	var made atomic.Int32
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			f, err := u.Sound(func(w io.WriteSeeker) error {
				made.Add(1)
				_, err := io.WriteString(w, "sound")
				return err
			})
			if err != nil {
				t.Error(err)
				return
			}
			defer f.Close()
			if text, err := io.ReadAll(f); string(text) != "sound" {
				t.Errorf("%q (%v)", text, err)
			}
		})
	}
	all.Wait()
	if made.Load() != 1 {
		t.Errorf("it was made %d times", made.Load())
	}
	u.Release()
	if files, _ := os.ReadDir(folder.path); len(files) != 1 {
		t.Errorf("left over: %v", files)
	}
}

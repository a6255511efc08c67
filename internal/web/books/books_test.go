package books

import (
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"topnote/internal/book"
	"topnote/internal/report"
	"topnote/internal/web/fault"
)

// TestBookIsMadeByTheFirstMachine reads before there is a book, which makes none,
// and enters machines at once, which make one.
func TestBookIsMadeByTheFirstMachine(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.sqlite")
	s := New(path)
	defer func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}()
	if machines, err := s.Machines(); err != nil || len(machines) != 0 {
		t.Errorf("without a book: %v (%v)", machines, err)
	}
	if _, _, err := s.Passes("saw"); !errors.Is(err, book.ErrNoBook) {
		t.Errorf("passes without a book: %v", err)
	}
	if _, err := s.EditMachine("saw", "me", book.Machine{Name: "saw"}); !errors.Is(err, book.ErrNoBook) {
		t.Errorf("a change without a book: %v", err)
	}
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("reading made a book (%v)", err)
	}
	var all sync.WaitGroup
	for _, name := range []string{"a", "b", "c", "d"} {
		all.Go(func() {
			if m, err := s.AddMachine(book.Machine{Name: name}); err != nil || m.Engine.Strokes != 2 || m.Engine.Cylinders != 1 {
				t.Errorf("%+v (%v)", m, err)
			}
		})
	}
	all.Wait()
	if machines, err := s.Machines(); err != nil || len(machines) != 4 {
		t.Errorf("four machines became %v (%v)", machines, err)
	}
}

// TestEditKeepsTheEngine changes a machine without its engine.
func TestEditKeepsTheEngine(t *testing.T) {
	s := New(filepath.Join(t.TempDir(), "book.sqlite"))
	defer s.Close()
	if _, err := s.AddMachine(book.Machine{Name: "saw", Engine: report.Engine{Strokes: 4, Cylinders: 2}}); err != nil {
		t.Fatal(err)
	}
	after, err := s.EditMachine("saw", "me", book.Machine{Name: "saw", Limits: report.Limits{MaxRPM: 12000}})
	if err != nil || after.Engine.Strokes != 4 || after.Limits.MaxRPM != 12000 {
		t.Errorf("%+v (%v)", after, err)
	}
	if q, name, err := s.Query("SAW"); err != nil || name != "saw" || q.Spec.Cylinders != 2 || q.Limits.Max != 12000 {
		t.Errorf("it is measured as %+v, %q (%v)", q, name, err)
	}
	if _, err := s.EditMachine("saw", "me", book.Machine{Name: "saw", Limits: report.Limits{MaxRPM: 12}}); err == nil {
		t.Error("12 rpm were taken for a limit")
	}
	if _, edits, err := s.Edits("saw"); err != nil || len(edits) != 1 {
		t.Errorf("%d edits are kept (%v)", len(edits), err)
	}
}

func TestParse(t *testing.T) {
	for text, want := range map[string]int64{"": 0, "1": 1, "9223372036854775807": 9223372036854775807} {
		if n, err := ParseNumber("to", text); err != nil || n != want {
			t.Errorf("%q is %d (%v)", text, n, err)
		}
	}
	for _, text := range []string{"0", "-1", "x", "1.5", "9223372036854775808"} {
		if _, err := ParseNumber("to", text); err == nil || fault.Of(err).Code != fault.CodeEntry {
			t.Errorf("%q: %v", text, err)
		}
	}
	screws, err := ParseScrews("1 1/4", "", "0.5")
	if err != nil || screws.H == nil || *screws.H != 1.25 || screws.L != nil || screws.Idle == nil {
		t.Errorf("%+v (%v)", screws, err)
	}
	if _, err := ParseScrews("1", "a bit", ""); err == nil || fault.Of(err).Says[:8] != "l_turns:" {
		t.Errorf("a bit: %v", err)
	}
}

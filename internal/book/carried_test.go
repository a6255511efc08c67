package book

import (
	"bytes"
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"
	"testing"
)

// TestExportCarriesRecordings: what the book keeps goes with an export and with the file
// of the book, is kept in another book with the right pass, and is not there twice.
func TestExportCarriesRecordings(t *testing.T) {
	t.Parallel()
	b := filledBook(t)
	passes, err := b.Passes("bench saw")
	if err != nil {
		t.Fatal(err)
	}
	first, last := passes[0].Number, passes[len(passes)-1].Number
	recordings := map[int64][]byte{first: []byte("the first"), last: bytes.Repeat([]byte{0, 255, 7}, 1000)}
	for n, r := range recordings {
		if err := b.KeepSound(n, r); err != nil {
			t.Fatal(err)
		}
	}
	if c, err := b.Carried(); err != nil || c != (Carried{Recordings: 2}) {
		t.Errorf("carried %+v, %v", c, err)
	}
	var file bytes.Buffer
	if err := b.WriteFile(&file); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"export": exported(t, b), "file": file.String()} {
		into := newBook(t) // has bench saw, and gives the passes other numbers
		if _, err := into.AddPass(madePass("bench saw", "mine", 0, 12400), false); err != nil {
			t.Fatal(err)
		}
		for i, want := range []int{2, 0} {
			if done, err := importInto(into, strings.NewReader(text), false); err != nil || done.Recordings != want || done.LeftOut != 0 {
				t.Errorf("%s, import %d: %+v, %v", name, i, done, err)
			}
		}
		for n, want := range recordings {
			if got, err := into.Sound(n + 1); err != nil || !bytes.Equal(got, want) {
				t.Errorf("%s: pass %d has %d bytes, %v", name, n, len(got), err)
			}
		}
		if kept, err := into.Sounds(); err != nil || len(kept) != 2 {
			t.Errorf("%s: %v, %v", name, kept, err)
		}
	}
}

// TestExportLeavesOut: an export without room for a recording names it, an import says
// so, and the last passes come first.
func TestExportLeavesOut(t *testing.T) {
	t.Parallel()
	b := filledBook(t)
	for n, size := range map[int64]int{1: 100, 2: 70, 3: 50} {
		if err := b.KeepSound(n, make([]byte, size)); err != nil {
			t.Fatal(err)
		}
	}
	var text bytes.Buffer
	if err := b.export(&text, 120); err != nil {
		t.Fatal(err)
	}
	var e exportJSON
	if err := json.Unmarshal(text.Bytes(), &e); err != nil || len(e.Sounds) != 3 {
		t.Fatalf("%d recordings, %v", len(e.Sounds), err)
	}
	for i, want := range []int{0, 70, 50} {
		if s := e.Sounds[i]; len(s.Recording) != want || s.Pass != int64(i+1) {
			t.Errorf("pass %d: %d bytes", s.Pass, len(s.Recording))
		}
	}
	into, err := Create(filepath.Join(t.TempDir(), "into.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	if done, err := importInto(into, &text, false); err != nil || done.Recordings != 2 || done.LeftOut != 1 {
		t.Errorf("%+v, %v", done, err)
	}
}

// TestImportBadRecording: a recording that is another one, of no pass or too large is
// refused with all of the export.
func TestImportBadRecording(t *testing.T) {
	t.Parallel()
	b := filledBook(t)
	if err := b.KeepSound(2, []byte("recording")); err != nil {
		t.Fatal(err)
	}
	good := exported(t, b)
	for name, bad := range map[string]string{
		"changed": strings.Replace(good, `"recording":"cmVj`, `"recording":"dmVj`, 1),
		"no pass": strings.Replace(good, `"sounds":[`+"\n"+`{"pass":2`, `"sounds":[`+"\n"+`{"pass":9`, 1),
		"empty":   strings.Replace(good, `"recording":"cmVjb3JkaW5n"`, `"recording":""`, 1),
	} {
		if bad == good {
			t.Errorf("%s: nothing was changed", name)
		}
		_, err := ReadExport(strings.NewReader(bad))
		oneSentence(t, err)
		if !errors.Is(err, ErrImport) || !strings.Contains(err.Error(), "recording 1") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

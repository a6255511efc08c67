package book

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// filledBook has two machines, an edit, three passes and a correction.
func filledBook(t *testing.T) *Book {
	t.Helper()
	b := newBook(t)
	odd := madePass("bench saw", "<odd>\x1b & name.wav", 3, 12700) // the name of a file may hold anything
	odd.Air, odd.Screws = nil, Screws{}
	corrected := madePass("bench saw", "a", 1, 12500)
	corrected.FuelNote = "stale"
	err := errors.Join(
		b.AddMachine(madeMachine("other")),
		b.EditMachine("other", "Kim", func(m Machine) (Machine, error) { m.Limits.MaxRPM = 0; return m, nil }))
	for _, p := range []Pass{madePass("bench saw", "a", 1, 12500), madePass("other", "a", 2, 12600), odd, corrected} {
		_, errAdd := b.AddPass(p, true)
		err = errors.Join(err, errAdd)
	}
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func exported(t *testing.T, b *Book) string {
	t.Helper()
	var out bytes.Buffer
	if err := b.Export(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// TestTransferFile: the bytes of a book read into an empty one export the same again,
// and adding them to their own book adds nothing. What is no book, or a damaged one,
// is told in one sentence that names no file of ours.
func TestTransferFile(t *testing.T) {
	t.Parallel()
	b := filledBook(t)
	var file bytes.Buffer
	if err := b.WriteFile(&file); err != nil {
		t.Fatal(err)
	}
	into, err := Create(filepath.Join(t.TempDir(), "into.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	for book, want := range map[*Book]Imported{into: {Machines: 2, Passes: 4}, b: {Present: 4}} {
		if done, err := importInto(book, bytes.NewReader(file.Bytes()), false); err != nil || done != want {
			t.Errorf("%+v, %v; want %+v", done, err, want)
		}
	}
	if exported(t, into) != exported(t, b) {
		t.Error("another book came of it")
	}
	for name, bad := range map[string][]byte{
		"half":   file.Bytes()[:file.Len()/2],
		"head":   []byte(databaseHead),
		"spoilt": bytes.ReplaceAll(file.Bytes(), []byte("bench saw"), []byte("bench sow")),
	} {
		_, err := ReadExport(bytes.NewReader(bad))
		oneSentence(t, err)
		if !errors.Is(err, ErrImport) || strings.Contains(err.Error(), importName) || !strings.Contains(err.Error(), "this file") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestTransfer: an export read into an empty book exports the same again, and
// reading it twice adds nothing.
func TestTransfer(t *testing.T) {
	t.Parallel()
	text := exported(t, filledBook(t))
	into, err := Create(filepath.Join(t.TempDir(), "into.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	for i, want := range []Imported{{Machines: 2, Passes: 4}, {Present: 4}} {
		done, err := importInto(into, strings.NewReader(text), false)
		if err != nil || done != want {
			t.Fatalf("import %d: %+v, %v; want %+v", i, done, err, want)
		}
		if diff := cmp.Diff(text, exported(t, into)); diff != "" {
			t.Errorf("import %d:\n%s", i, diff)
		}
	}
	list, err := into.Passes("bench saw")
	if err != nil || len(list) != 3 || list[0].ReplacedBy != 4 {
		t.Errorf("got %v, %v", list, err)
	}
}

// TestTransferKeepsWhatItDoesNotKnow: a member of the report that a newer program
// wrote comes out again.
func TestTransferKeepsWhatItDoesNotKnow(t *testing.T) {
	t.Parallel()
	text := strings.Replace(exported(t, filledBook(t)), `"report":{"schema"`, `"report":{"later":{"x":[1,2]},"schema"`, 1)
	into, err := Create(filepath.Join(t.TempDir(), "into.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	if _, err := importInto(into, strings.NewReader(text), false); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(exported(t, into), `"later":{"x":[1,2]}`) {
		t.Error("what a newer program wrote is lost")
	}
}

// TestImportBeside: what goes together with what is there is added, what does
// not is refused whole.
func TestImportBeside(t *testing.T) {
	t.Parallel()
	text := exported(t, filledBook(t))
	b := newBook(t) // has bench saw, described the same
	if _, err := b.AddPass(madePass("bench saw", "mine", 0, 12400), false); err != nil {
		t.Fatal(err)
	}
	done, err := importInto(b, strings.NewReader(text), false)
	if err != nil || done != (Imported{Machines: 1, Passes: 4}) {
		t.Fatalf("%+v, %v", done, err)
	}
	if edits, err := b.History("other"); err != nil || len(edits) != 1 {
		t.Errorf("edits %v, %v", edits, err)
	}

	same := newBook(t)
	mine := madePass("bench saw", "a", 1, 12500)
	mine.Who = "somebody else"
	if _, err := same.AddPass(mine, false); err != nil {
		t.Fatal(err)
	}
	before := exported(t, same)
	_, err = importInto(same, strings.NewReader(text), false)
	wantProblem(t, err, ErrKnown, "this recording is in the book already, as pass 1")
	if after := exported(t, same); after != before {
		t.Error("a refused import left something")
	}
	if done, err := importInto(same, strings.NewReader(text), true); err != nil || done.Passes != 4 {
		t.Errorf("asked for: %+v, %v", done, err)
	}

	other := newBook(t)
	if err := other.EditMachine("bench saw", "", func(m Machine) (Machine, error) { m.Limits.MaxRPM = 12000; return m, nil }); err != nil {
		t.Fatal(err)
	}
	before = exported(t, other)
	_, err = importInto(other, strings.NewReader(text), true)
	wantProblem(t, err, ErrKnown, "is described differently in this book")
	if after := exported(t, other); after != before {
		t.Error("a refused import left something")
	}
}

// importInto reads an export and takes it in, as the program does.
func importInto(b *Book, r io.Reader, again bool) (Imported, error) {
	x, err := ReadExport(r)
	if err != nil {
		return Imported{}, err
	}
	return b.Import(x, again)
}

// mangled gives an export with one thing changed by hand.
func mangled(t *testing.T, text string, change func(machines, passes []any, all map[string]any)) string {
	t.Helper()
	var all map[string]any
	if err := json.Unmarshal([]byte(text), &all); err != nil {
		t.Fatal(err)
	}
	change(all["machines"].([]any), all["passes"].([]any), all)
	out, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func TestImportIsRefused(t *testing.T) {
	t.Parallel()
	text := exported(t, filledBook(t))
	set := func(key string, value any) func(machines, passes []any, all map[string]any) {
		return func(_, passes []any, _ map[string]any) { passes[2].(map[string]any)[key] = value }
	}
	in := func(part, key string, value any) func(machines, passes []any, all map[string]any) {
		return func(_, passes []any, _ map[string]any) {
			passes[2].(map[string]any)["report"].(map[string]any)[part].(map[string]any)[key] = value
		}
	}
	row := func(_, passes []any, _ map[string]any) {
		passes[2].(map[string]any)["report"].(map[string]any)["openings"] = []any{map[string]any{"from_s": 1, "to_s": 3, "code": "later"}}
	}
	cases := map[string]string{
		"it is not JSON from its character 1 on":                                    "a letter",
		"this is no export of a book: it is empty":                                  "",
		"it breaks off in the middle":                                               text[:len(text)/2],
		"it is a list, not a book":                                                  "[]",
		"\"machines\" cannot be a text":                                             `{"machines": "no"}`,
		"\"schema\" cannot be a number":                                             `{"schema": 5}`,
		"cannot be the number 1e309":                                                `{"machines": [{"limits": {"max_rpm": 1e309}}]}`,
		"\"yesterday\" is not a date":                                               mangled(t, text, set("recorded", "yesterday")),
		"its schema is \"\"":                                                        "{}",
		"something follows after":                                                   text + "{}",
		"its schema is \"topnote.book/9\"":                                          mangled(t, text, func(_, _ []any, all map[string]any) { all["schema"] = "topnote.book/9" }),
		"no export has a field \"colour\"":                                          mangled(t, text, set("colour", "red")),
		"machine 1 of the export cannot be taken":                                   mangled(t, text, func(m, _ []any, _ map[string]any) { m[0].(map[string]any)["name"] = "" }),
		"machine 2 of the export cannot be taken: there is a machine":               mangled(t, text, func(m, _ []any, _ map[string]any) { m[1].(map[string]any)["name"] = "BENCH saw" }),
		"pass 3 of the export cannot be taken: there is no machine":                 mangled(t, text, set("machine", "none")),
		"pass 3 of the export cannot be taken: its number is not 1":                 mangled(t, text, set("number", 0)),
		"pass 3 of the export cannot be taken: -1 turns":                            mangled(t, text, set("screws", map[string]any{"h_turns": -1})),
		"pass 3 of the export cannot be taken: the temperature":                     mangled(t, text, set("air", "rh=50 altitude=0")),
		"pass 3 of the export cannot be taken: the text for the air":                mangled(t, text, set("air", "")),
		"pass 3 of the export cannot be taken: a pass cannot":                       mangled(t, text, set("recorded", "1970-01-01T00:00:00Z")),
		"pass 3 of the export cannot be taken: its report is not":                   mangled(t, text, set("report", map[string]any{"schema": "x"})),
		"pass 3 of the export cannot be taken: something in the text of the report": mangled(t, text, in("verdict", "says", "\x1b]0;safe\x07")),
		"pass 3 of the export cannot be taken: the report does not":                 mangled(t, text, in("clip", "sha256", "0123")),
		"pass 3 of the export cannot be taken: the report has a share":              mangled(t, text, in("top_end", "four_stroking_share", 2)),
		"taken: the verdict of the report is \"far-over-limit\"":                    mangled(t, text, in("verdict", "code", "far-over-limit")),
		"taken: the verdict of the report is \"later\"":                             mangled(t, text, row),
		"taken: the verdict of the report is \"\"":                                  mangled(t, text, in("verdict", "code", "")),
	}
	b := newBook(t)
	before := exported(t, b)
	for says, bad := range cases {
		_, err := importInto(b, strings.NewReader(bad), true)
		wantProblem(t, err, ErrImport, says)
		if after := exported(t, b); after != before {
			t.Fatalf("%s: something was imported", says)
		}
	}
}

// FuzzImport: whatever is read, either all of it is in the book and comes out
// again, or nothing is.
func FuzzImport(f *testing.F) {
	folder := f.TempDir()
	b, err := Create(filepath.Join(folder, "seed.sqlite"))
	if err != nil {
		f.Fatal(err)
	}
	errMachine := b.AddMachine(madeMachine("saw"))
	_, errPass := b.AddPass(madePass("saw", "a", 1, 12500), false)
	var seed bytes.Buffer
	if err := errors.Join(errMachine, errPass, b.Export(&seed), b.Close()); err != nil {
		f.Fatal(err)
	}
	f.Add(seed.Bytes())
	f.Add([]byte(`{"schema":"topnote.book/1","machines":[],"passes":[]}`))
	f.Add([]byte(`{"schema":"topnote.book/1","machines":[{"name":"a","engine":{"strokes":2,"cylinders":1},"limits":{"max_rpm":null},"notes":""}]}`))
	f.Add([]byte(`null`))
	into, err := Create(filepath.Join(folder, "into.sqlite"))
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { into.Close() })
	f.Fuzz(func(t *testing.T, text []byte) {
		before := counts(t, into)
		done, err := importInto(into, bytes.NewReader(text), true)
		after := counts(t, into)
		if err != nil {
			oneSentence(t, err)
			if before != after {
				t.Errorf("%v, but %v became %v", err, before, after)
			}
			return
		}
		if after[0] != before[0]+done.Machines || after[1] != before[1]+done.Passes {
			t.Errorf("%+v was added to %v and made %v", done, before, after)
		}
		if _, err := ReadExport(strings.NewReader(exported(t, into))); err != nil {
			t.Errorf("what was imported cannot be exported: %v", err)
		}
	})
}

func counts(t *testing.T, b *Book) (n [2]int) {
	t.Helper()
	if err := b.db.QueryRow("SELECT (SELECT count(*) FROM machines), (SELECT count(*) FROM passes)").Scan(&n[0], &n[1]); err != nil {
		t.Fatal(err)
	}
	return n
}

func TestBackup(t *testing.T) {
	t.Parallel()
	b := filledBook(t)
	folder := t.TempDir()
	path := filepath.Join(folder, "it's a backup.sqlite")
	if err := b.Backup(path); err != nil {
		t.Fatal(err)
	}
	wantProblem(t, b.Backup(path), ErrFile, "exists already")
	wantProblem(t, b.Backup(folder), ErrFile, "exists already")
	wantProblem(t, b.Backup(filepath.Join(folder, "no", "folder")), ErrFile, "cannot be written")
	copied, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer copied.Close()
	if diff := cmp.Diff(exported(t, b), exported(t, copied)); diff != "" {
		t.Error(diff)
	}
	if n, err := copied.AddPass(madePass("other", "more", 9, 12500), false); err != nil || n != 5 {
		t.Errorf("the copy is no book to go on with: pass %d, %v", n, err)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), filepath.Base(path)) {
			names = append(names, e.Name())
		}
	}
	if !slices.Equal(names, nil) {
		t.Errorf("it left %v", names)
	}
}

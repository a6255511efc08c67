package main

import (
	"database/sql"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// withBook makes a book of one machine, "saw", and then does more to its file.
func withBook(more func(g *rig, path string) error) func(*rig) {
	return func(g *rig) {
		path := filepath.Join(g.folder, "b")
		if out, err := exec.Command(program, "book", "machine", "add", "saw", "--book", path).CombinedOutput(); err != nil {
			g.Fatalf("%v %s", err, out)
		}
		if more == nil {
			return
		}
		if err := more(g, path); err != nil {
			g.Fatal(err)
		}
	}
}

// database runs statements on a file, outside of the program.
func database(path string, statements ...string) error {
	db, err := sql.Open("sqlite", path)
	if err != nil {
		return err
	}
	for _, s := range statements {
		if _, err = db.Exec(s); err != nil {
			break
		}
	}
	return errors.Join(err, db.Close())
}

// holdBook names, in the environment of this test's own program, the book that
// it is to hold: a lock ends when any part of the program that has it closes
// the file, so it must be another one.
const holdBook = "TOPNOTE_TEST_HOLD_BOOK"

// locked holds the book as another program does that writes for long.
func locked(g *rig, path string) error {
	other := exec.Command(os.Args[0])
	other.Env = append(os.Environ(), holdBook+"="+path)
	stop, errIn := other.StdinPipe()
	out, errOut := other.StdoutPipe()
	if err := errors.Join(errIn, errOut, other.Start()); err != nil {
		return err
	}
	g.Cleanup(func() {
		if err := errors.Join(stop.Close(), other.Wait()); err != nil {
			g.Error(err)
		}
	})
	_, err := io.ReadFull(out, make([]byte, 1))
	return err
}

// hold is the other program: it keeps the book until its input ends.
func hold(path string) int {
	db, err := sql.Open("sqlite", path+"?_txlock=exclusive")
	if err != nil {
		return 1
	}
	defer db.Close()
	tx, err := db.Begin()
	if err != nil {
		return 1
	}
	defer tx.Rollback()
	os.Stdout.WriteString("!")
	io.Copy(io.Discard, os.Stdin)
	return 0
}

// cutTo cuts a file to so many bytes; a negative number counts from its end.
func cutTo(size int64) func(*rig, string) error {
	return func(_ *rig, path string) error {
		if size < 0 {
			info, err := os.Stat(path)
			if err != nil {
				return err
			}
			return os.Truncate(path, info.Size()+size)
		}
		return os.Truncate(path, size)
	}
}

// spoil writes over a file from a place on.
func spoil(at int64, with string) func(*rig, string) error {
	return func(_ *rig, path string) error {
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		_, err = f.WriteAt([]byte(with), at)
		return errors.Join(err, f.Close())
	}
}

func badBooks() []badInput { return append(badBookFiles(), badBookUse()...) }

// badBookFiles are files that are no book, are damaged, or cannot be used.
func badBookFiles() []badInput {
	const passes = "book passes --book b"
	const page = 4096 // of the database
	const add = "book machine add other --book b"
	letter := file("b", []byte("This is a letter, and it is longer than the head of a database, which has a hundred bytes, is."))
	return []badInput{
		{what: "a book that is not there", args: passes, want: failed, says: "there is no book at b; start one with"},
		{what: "a book in a folder that cannot be made", args: "book machine add saw --book b/c/d", files: letter, want: failed, says: "; "},
		{what: "a folder for a book", args: "book passes --book .", want: failed, says: "is a folder; name a file in it"},
		{what: "a letter for a book", args: passes, files: letter, want: failed, says: "is not a book"},
		{what: "a letter to add to as a book", args: add, files: letter, want: failed, says: "is not a book"},
		{what: "a recording for a book", args: passes, files: file("b", goodWAV()), want: failed, says: "is not a book"},
		{what: "a named pipe for a book", args: passes, rig: func(g *rig) { silentPipe(g, "b") }, want: failed, says: "exists and is not a file"},
		{what: "another program's database", args: passes, rig: func(g *rig) {
			if err := database(filepath.Join(g.folder, "b"), "CREATE TABLE songs (name TEXT)"); err != nil {
				g.Fatal(err)
			}
		}, want: failed, says: "is a database, but not a book"},
		{what: "a book of a newer program", args: passes, rig: withBook(func(_ *rig, path string) error { return database(path, "PRAGMA user_version = 99") }), want: failed, says: "written by a newer program"},
		{what: "a book cut in its head", args: passes, rig: withBook(cutTo(60)), want: failed, says: "is damaged"},
		{what: "a book cut after its first page", args: passes, rig: withBook(cutTo(page)), want: failed, says: "; "},
		{what: "a book that lost its end", args: passes, rig: withBook(cutTo(-page)), want: failed, says: "is damaged"},
		{what: "a book with other words at its beginning", args: passes, rig: withBook(spoil(0, "XXXXXXXXXXXXXXXX")), want: failed, says: "is not a book"},
		{what: "a book with a wrong list of its tables", args: passes, rig: withBook(spoil(100, "\xff\xff\xff\xff\xff\xff")), want: failed, says: "is damaged"},
		{what: "a book without its table of passes", args: passes, rig: withBook(func(_ *rig, path string) error { return database(path, "DROP TABLE passes") }), want: failed, says: "is damaged"},
		{what: "a book in which another program raised a limit", args: passes, rig: withBook(func(_ *rig, path string) error { return database(path, "UPDATE machines SET max_rpm = 20000") }), want: failed, says: "is damaged"},
		{what: "a file of one letter for a book", args: add, files: file("b", []byte("x")), want: failed, says: "is not a book"},
		{what: "a book that another program keeps to itself", args: add, rig: withBook(locked), want: failed, says: "another program has been writing"},
		{what: "a book that may not be read", args: passes, rig: func(g *rig) {
			withBook(nil)(g)
			nobody(only("b", 0))(g)
		}, want: failed, says: "cannot be opened"},
		{what: "a book that may not be written", args: add, rig: func(g *rig) {
			withBook(nil)(g)
			nobody(only("b", 0o444))(g)
		}, want: failed, says: "may be read but not written"},
		{what: "a book on a disk that is read only", args: "book machine add other --book locked/b", rig: readOnlyDisk, want: failed, says: "may be read but not written"},
		{what: "a pass that a book on a disk that is read only has not", args: "book show 7 --book locked/b", rig: readOnlyDisk, want: failed, says: "there is no pass 7"}, // it is read
	}
}

// badBookUse is what a book in order cannot do.
func badBookUse() []badInput {
	return []badInput{
		{what: "a machine that the book has", args: "book machine add SAW --book b", rig: withBook(nil), want: failed, says: "there is a machine"},
		{what: "a machine that the book has not", args: "book trend tractor --book b", rig: withBook(nil), want: failed, says: `there is no machine "tractor"`},
		{what: "a pass that the book has not", args: "book show 7 --book b", rig: withBook(nil), want: failed, says: "there is no pass 7"},
		{what: "a backup over a file", args: "book backup x.wav --book b", files: shortPass(), rig: withBook(nil), want: failed, says: "exists already"},
		{what: "a backup into a folder that is not there", args: "book backup none/copy --book b", rig: withBook(nil), want: failed, says: "cannot be written"},
		{what: "a backup onto a full disk", args: "book backup full/copy --book b", rig: func(g *rig) {
			withBook(nil)(g)
			fullDisk(g)
		}, want: failed, says: "too full"},
		{what: "an export over the book", args: "book export --out b --book b", rig: withBook(nil), want: wrongUsage, says: "would write over another file"},
		{what: "an export onto a full disk", args: "book export --out full/e.json --book b", rig: func(g *rig) {
			withBook(nil)(g)
			fullDisk(g)
		}, want: failed, says: "no space left"},
	}
}

// badImports are read into a book that is there, and leave it as it was.
func badImports() []badInput {
	imported := func(what, text, says string) badInput {
		return badInput{what: what, args: "book import e.json --book b", files: file("e.json", []byte(text)), rig: withBook(nil), want: failed, says: says}
	}
	const (
		machine = `{"name":"a","engine":{"strokes":2,"cylinders":1},"limits":{"max_rpm":13500,"idle_rpm":null,"clutch_rpm":null},"notes":"","edits":[]}`
		head    = `{"schema":"topnote.book/1","machines":[`
	)
	pass := func(fields string) string { return head + machine + `],"passes":[{"machine":"a",` + fields + `}]}` }
	return []badInput{
		{what: "an export that is not there", args: "book import none.json --book b", rig: withBook(nil), want: failed, says: `"none.json" cannot be read`},
		{what: "a folder for an export", args: "book import . --book b", rig: withBook(nil), want: failed, says: "; "},
		imported("an export of no length", "", "it is empty"),
		imported("a letter for an export", "Dear all", "it is not JSON from its character 1 on"),
		imported("a recording for an export", string(goodWAV()), "it is not JSON"),
		imported("an export that breaks off", head+machine[:40], "it breaks off in the middle"),
		imported("JSON null for an export", "null", `its schema is ""`),
		imported("a list for an export", "[]", "it is a list, not a book"),
		imported("an export of another schema", `{"schema":"topnote.book/9"}`, `its schema is "topnote.book/9"`),
		imported("two exports in one file", head+"]}"+head+"]}", "something follows"),
		imported("an export with a field of another program", `{"schema":"topnote.book/1","songs":[]}`, `no export has a field "songs"`),
		imported("lists in lists in lists without end", strings.Repeat("[", 20000), "; "),
		imported("an exported machine without a name", head+`{"name":"","engine":{"strokes":2,"cylinders":1}}]}`, "machine 1 of the export cannot be taken: a machine needs a name"),
		imported("a machine of 0 strokes", head+`{"name":"a","engine":{"strokes":0,"cylinders":1}}]}`, "strokes 0"),
		imported("a machine with a limit of 1e309", head+`{"name":"a","engine":{"strokes":2,"cylinders":1},"limits":{"max_rpm":1e309}}]}`, "1e309"),
		imported("a machine with a limit of -1", head+`{"name":"a","engine":{"strokes":2,"cylinders":1},"limits":{"max_rpm":-1}}]}`, "-1 rpm"),
		imported("a machine twice", head+machine+","+machine+"]}", "there is a machine"),
		imported("a pass of no machine", head+`],"passes":[{"number":1,"machine":"a"}]}`, `there is no machine "a"`),
		imported("a pass without a report", pass(`"number":1`), "pass 1 of the export cannot be taken"),
		imported("a pass with another report", pass(`"number":1,"report":{"schema":"x"}`), "its report is not one of schema"),
		imported("a pass of yesterday", pass(`"number":1,"recorded":"yesterday"`), `"yesterday" is not a date`),
		imported("a pass with a screw of -1", pass(`"number":1,"recorded":"2026-05-31T12:00:00Z","screws":{"h_turns":-1},"report":{"schema":"topnote.report/1"}`), "; "),
		imported("a pass with the verdict of another program", pass(`"number":1,"recorded":"2026-05-31T12:00:00Z","entered":"2026-05-31T12:00:00Z","report":{"schema":"topnote.report/1","clip":{"sha256":"`+strings.Repeat("0a", 32)+`"},"verdict":{"code":"fine"}}`), "not known to this version"),
		imported("a pass with a number of 1e309", pass(`"number":1e309`), "; "),
	}
}

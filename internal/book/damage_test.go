package book

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"topnote/internal/race"
)

// knownSentences are the ends of all sentences that a file which was a book may
// be answered with, whatever happened to it.
var knownSentences = []string{
	" is damaged",
	" is not a book",
	" is a database, but not a book",
	" may be read but not written",
}

// newerSentence is in the sentence of a book whose version number was changed.
const newerSentence = " was written by a newer program (version "

// wantKnown wants an error to be one of the known sentences, in one line.
func wantKnown(t *testing.T, what string, err error) {
	t.Helper()
	var problem *Problem
	if !errors.As(err, &problem) {
		t.Errorf("%s: %v is not a *Problem", what, err)
		return
	}
	known := slices.ContainsFunc(knownSentences, func(end string) bool { return strings.HasSuffix(problem.Says, end) }) ||
		strings.Contains(problem.Says, newerSentence)
	if !known || problem.Do == "" || strings.ContainsAny(problem.Error(), "\n\x1b") {
		t.Errorf("%s: %q; %q is not a known sentence", what, problem.Says, problem.Do)
	}
}

// smallBook makes a closed book of small pages, so that structure is a larger
// part of it, and gives its bytes.
func smallBook(t testing.TB) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), "whole.sqlite")
	b, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	b.clock = func() time.Time { return madeDay(100) }
	corrected := madePass("saw", "a", 1, 12500)
	corrected.FuelNote = "stale"
	err = errors.Join(
		b.AddMachine(madeMachine("saw")), b.AddMachine(madeMachine("other")),
		b.EditMachine("other", "Kim", func(m Machine) (Machine, error) { m.Limits.MaxRPM = 0; return m, nil }))
	for _, p := range []Pass{madePass("saw", "a", 1, 12500), madePass("other", "a", 2, 12600), madePass("saw", "b", 3, 12700), corrected} {
		_, errAdd := b.AddPass(p, true)
		err = errors.Join(err, errAdd)
	}
	_, errPages := b.db.Exec("PRAGMA journal_mode = delete; PRAGMA page_size = 512; VACUUM")
	if err := errors.Join(err, errPages, b.Close()); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// question is something that is read from a book, as text.
type question struct {
	what string
	read func(*Book) (string, error)
}

// questions are all that can be read from a book of smallBook.
func questions() []question {
	shown := func(passes []Pass, err error) (string, error) {
		var out strings.Builder
		for _, p := range passes {
			text, errJSON := p.JSON()
			fmt.Fprintf(&out, "%s %v %d\n", text, p.Report.TopEnd, p.ReplacedBy)
			err = errors.Join(err, errJSON)
		}
		return out.String(), err
	}
	all := []question{
		{"machines", func(b *Book) (string, error) {
			m, err := b.Machines()
			return fmt.Sprint(m), err
		}},
		{"a machine", func(b *Book) (string, error) {
			m, err := b.Machine("Other")
			return fmt.Sprint(m), err
		}},
		{"edits", func(b *Book) (string, error) {
			e, err := b.History("other")
			return fmt.Sprint(e), err
		}},
		{"passes", func(b *Book) (string, error) { return shown(b.Passes("")) }},
		{"passes of a machine", func(b *Book) (string, error) { return shown(b.Passes("saw")) }},
		{"an export", func(b *Book) (string, error) {
			var out bytes.Buffer
			err := b.Export(&out)
			return out.String(), err
		}},
	}
	for number := range int64(4) {
		all = append(all, question{fmt.Sprint("pass ", number+1), func(b *Book) (string, error) {
			p, err := b.Pass(number + 1)
			return shown([]Pass{p}, err)
		}})
	}
	return all
}

// answers gives what a whole book answers.
func answers(t testing.TB, b *Book) map[string]string {
	t.Helper()
	right := map[string]string{}
	for _, q := range questions() {
		text, err := q.read(b)
		if err != nil {
			t.Fatal(err)
		}
		right[q.what] = text
	}
	return right
}

// tryDamaged has a file, with a log beside it unless that is empty, answer all
// questions and take a pass: each is right or a known sentence. Opening and
// reading must leave the file as it is where it is refused.
func tryDamaged(t *testing.T, folder, what string, file []byte, right map[string]string) {
	t.Helper()
	path := filepath.Join(folder, "damaged.sqlite")
	for _, beside := range []string{"", "-wal", "-shm", "-journal"} {
		if err := os.RemoveAll(path + beside); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(path, file, 0o600); err != nil {
		t.Fatal(err)
	}
	b, err := Open(path)
	if err != nil {
		wantKnown(t, what+": open", err)
		if after, errRead := os.ReadFile(path); errRead != nil || !bytes.Equal(after, file) {
			t.Errorf("%s: it is refused with %v, but the file was changed", what, err)
		}
		return
	}
	defer b.Close() // every answer was looked at
	for _, q := range questions() {
		switch text, err := q.read(b); {
		case err != nil:
			wantKnown(t, what+": "+q.what, err)
		case text != right[q.what]:
			t.Errorf("%s: a wrong answer for %s:\n%s\nwant\n%s", what, q.what, text, right[q.what])
		}
	}
	number, err := b.AddPass(madePass("saw", "new", 5, 12400), false)
	if err != nil {
		wantKnown(t, what+": add", err)
		return
	}
	if p, err := b.Pass(number); number != 5 || err != nil || p.Report.TopEnd.SustainedRPM != 12400 {
		t.Errorf("%s: the new pass is %d, %v, %v", what, number, p.Report.TopEnd, err)
	}
}

// TestDamagedBytes changes a book byte by byte, with a fixed stride
// and all kinds of changes in turn.
func TestDamagedBytes(t *testing.T) {
	t.Parallel()
	whole := smallBook(t)
	right := rightAnswers(t, whole)
	stride := 61 // prime, so that every place within a page has its turn
	if testing.Short() || race.Enabled {
		stride = 907
	}
	rng := rand.New(rand.NewPCG(1, 1))
	folder := t.TempDir()
	const header = 100 // of the database: every byte of it
	for at := 0; at < len(whole); at++ {
		if at%stride != 0 && (at >= header || race.Enabled) {
			continue
		}
		file := bytes.Clone(whole)
		switch (at / stride) % 4 {
		case 0:
			file[at] ^= 1 << rng.IntN(8)
		case 1:
			file[at] = 0
		case 2:
			file[at] = 0xff
		case 3:
			file[at]++
		}
		tryDamaged(t, folder, fmt.Sprintf("byte %d from %#x to %#x", at, whole[at], file[at]), file, right)
	}
}

// rightAnswers gives what a whole file of a book answers.
func rightAnswers(t testing.TB, whole []byte) map[string]string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "whole.sqlite")
	if err := os.WriteFile(path, whole, 0o600); err != nil {
		t.Fatal(err)
	}
	b, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	return answers(t, b)
}

// TestDamagedPages cuts, empties, doubles and exchanges pages.
func TestDamagedPages(t *testing.T) {
	t.Parallel()
	whole := smallBook(t)
	right := rightAnswers(t, whole)
	folder := t.TempDir()
	const page = 512
	every := page
	if race.Enabled {
		every = 7 * page
	}
	for at := 0; at < len(whole); at += every {
		cut := whole[:at]
		if at > 0 { // an empty file is a new book
			tryDamaged(t, folder, fmt.Sprintf("cut at %d", at), cut, right)
		}
		tryDamaged(t, folder, fmt.Sprintf("cut at %d", at+page/2), whole[:at+page/2], right)
		empty := bytes.Clone(whole)
		clear(empty[at : at+page])
		tryDamaged(t, folder, fmt.Sprintf("page at %d emptied", at), empty, right)
		other := (at + 3*page) % len(whole)
		doubled := bytes.Clone(whole)
		copy(doubled[at:], whole[other:other+page])
		tryDamaged(t, folder, fmt.Sprintf("page at %d is that at %d", at, other), doubled, right)
	}
	tryDamaged(t, folder, "twice as long", append(bytes.Clone(whole), whole...), right)
}

// TestEditedByHand has another program change what a book holds and how.
func TestEditedByHand(t *testing.T) {
	t.Parallel()
	whole := smallBook(t)
	right := rightAnswers(t, whole)
	folder := t.TempDir()
	const free = "DROP TRIGGER passes_stay; DROP TRIGGER passes_last; DROP TRIGGER edits_stay; DROP TRIGGER edits_last; "
	for _, statements := range []string{
		"DROP TABLE passes", "DROP TABLE edits", "DROP TABLE digests", "DROP TABLE machines", free,
		"DROP INDEX passes_of_clip", "ALTER TABLE passes RENAME TO runs", "ALTER TABLE machines DROP COLUMN notes",
		"ALTER TABLE machines RENAME COLUMN max_rpm TO limit_rpm", "ALTER TABLE passes ADD COLUMN colour TEXT",
		"DELETE FROM digests", "DELETE FROM digests WHERE kind = 'pass' AND id = 2", "INSERT INTO digests VALUES ('pass', 9, '')",
		"UPDATE digests SET sha256 = 'x'", "UPDATE digests SET id = id + 10",
		"UPDATE machines SET name = 'another'", "UPDATE machines SET max_rpm = 20000 WHERE name = 'saw'", "UPDATE machines SET notes = char(0)",
		"DELETE FROM sqlite_sequence", "UPDATE sqlite_sequence SET seq = 9223372036854775807", "UPDATE sqlite_sequence SET seq = 1",
		"CREATE TRIGGER more AFTER INSERT ON passes BEGIN UPDATE machines SET max_rpm = 1; END",
		"PRAGMA user_version = 0", "PRAGMA user_version = 1", "PRAGMA user_version = 2", "PRAGMA user_version = -1", "PRAGMA user_version = 99",
		"PRAGMA application_id = 0", "PRAGMA application_id = 7",
		// The triggers are put back, so that only what is stored is other than it was.
		byHand("UPDATE passes SET who = 'me'"), byHand("DELETE FROM passes WHERE number = 1"), byHand("DELETE FROM edits"),
		byHand("UPDATE passes SET report = json_set(report, '$.top_end.sustained_rpm', 99000)"),
		byHand("UPDATE passes SET report = '{}'"), byHand("UPDATE passes SET recorded = 'yesterday'"), byHand("UPDATE passes SET machine = 77"),
		byHand("UPDATE passes SET h_turns = 21"), byHand("UPDATE edits SET before = '[]'"), byHand("UPDATE passes SET number = number + 5"),
		// Harmless: it answers as before.
		"CREATE INDEX more ON passes (recorded)", "CREATE TABLE notes (text)", "ANALYZE", "VACUUM", "PRAGMA page_size = 4096; VACUUM",
		"PRAGMA journal_mode = wal", "CREATE VIEW last AS SELECT max(number) FROM passes",
	} {
		path := filepath.Join(folder, "edited.sqlite")
		if err := os.WriteFile(path, whole, 0o600); err != nil {
			t.Fatal(err)
		}
		db, err := sql.Open("sqlite", path)
		if err == nil {
			_, err = db.Exec(statements)
		}
		if err := errors.Join(err, db.Close()); err != nil {
			t.Fatalf("%s: %v", statements, err)
		}
		file, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		tryDamaged(t, folder, statements, file, right)
	}
}

// byHand changes what the triggers keep from being changed, and puts them back.
func byHand(statement string) string {
	triggers := migrations[1][strings.Index(migrations[1], "CREATE TRIGGER"):]
	return "DROP TRIGGER passes_stay; DROP TRIGGER passes_last; DROP TRIGGER edits_stay; DROP TRIGGER edits_last; " + statement + "; " + triggers
}

package book

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// childRole is the variable by which a test runs this program again as another
// process that works on a book: "what path name count".
const childRole = "TOPNOTE_BOOK_CHILD"

func TestMain(m *testing.M) {
	if role := os.Getenv(childRole); role != "" {
		os.Exit(child(strings.Split(role, "|")))
	}
	os.Exit(m.Run())
}

// child adds passes to a book, one after another, and prints the number of each
// as soon as it is stored.
func child(role []string) int {
	what, path, name := role[0], role[1], role[2]
	count, err := strconv.Atoi(role[3])
	if err != nil {
		return 2
	}
	b, err := Create(path)
	if err != nil {
		fmt.Println(err)
		return 1
	}
	defer b.Close()
	if err := b.AddMachine(madeMachine("saw")); err != nil && !errors.Is(err, ErrKnown) {
		fmt.Println(err)
		return 1
	}
	for i := range count {
		clip := fmt.Sprintf("%s %d", name, i)
		if what == "same" {
			clip = fmt.Sprint(i) // what another process adds, too
		}
		number, err := b.AddPass(madePass("saw", clip, 1, 12500), false)
		switch {
		case errors.Is(err, ErrKnown) && what == "same":
		case err != nil:
			fmt.Println(err)
			return 1
		default:
			fmt.Println(number)
		}
	}
	return 0
}

// runChild starts a child and gives what it prints.
func runChild(t *testing.T, what, path, name string, count int) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s|%s|%s|%d", childRole, what, path, name, count))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, bufio.NewScanner(out)
}

// TestKilled kills a writing process, again and again, without a warning: every
// pass that it had called stored is there and whole, and the book is in order.
func TestKilled(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "book.sqlite")
	finished := map[int64]bool{}
	for round := range 6 {
		cmd, lines := runChild(t, "different", path, fmt.Sprint("round ", round), 100000)
		for range 3 + 4*round {
			if !lines.Scan() {
				t.Fatal("the child stopped by itself")
			}
			number, err := strconv.ParseInt(lines.Text(), 10, 64)
			if err != nil {
				t.Fatalf("the child says %q", lines.Text())
			}
			finished[number] = true
		}
		if err := cmd.Process.Kill(); err != nil { // SIGKILL
			t.Fatal(err)
		}
		for lines.Scan() { // stored between the last line read and the kill
			if number, err := strconv.ParseInt(lines.Text(), 10, 64); err == nil {
				finished[number] = true
			}
		}
		_ = cmd.Wait() // killed, as it was told to be

		b, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		for number := range finished {
			if p, err := b.Pass(number); err != nil || len(p.Report.Track) != 3 {
				t.Errorf("round %d: pass %d of %d is lost: %v", round, number, len(finished), err)
			}
		}
		var order string
		if err := b.db.QueryRow("PRAGMA integrity_check").Scan(&order); err != nil || order != "ok" {
			t.Errorf("round %d: %q, %v", round, order, err)
		}
		b.Close()
	}
}

// TestTwoProcesses has two processes begin one book at once and write to it.
func TestTwoProcesses(t *testing.T) {
	t.Parallel()
	for what, want := range map[string]int{"different": 60, "same": 30} {
		t.Run(what, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "book.sqlite")
			one, linesOne := runChild(t, what, path, "one", 30)
			two, linesTwo := runChild(t, what, path, "two", 30)
			said := drain(linesOne) + drain(linesTwo)
			if err := errors.Join(one.Wait(), two.Wait()); err != nil {
				t.Fatalf("%v: %s", err, said)
			}
			b, err := Open(path)
			if err != nil {
				t.Fatal(err)
			}
			defer b.Close()
			all, err := b.Passes("")
			if err != nil || len(all) != want || strings.Count(said, "\n") != want {
				t.Errorf("%d passes, %d told, %v; want %d", len(all), strings.Count(said, "\n"), err, want)
			}
			if machines, err := b.Machines(); err != nil || len(machines) != 1 {
				t.Errorf("machines %v, %v", machines, err)
			}
		})
	}
}

func drain(lines *bufio.Scanner) string {
	var all strings.Builder
	for lines.Scan() {
		io.WriteString(&all, lines.Text()+"\n")
	}
	return all.String()
}

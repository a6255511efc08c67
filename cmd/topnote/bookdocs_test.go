package main

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write what the commands of docs/book.md print into it anew")

// wordsOf parts a command line as a shell does, as far as the page needs it:
// blanks part words, double quotes hold them together.
func wordsOf(line string) []string {
	var words []string
	var word strings.Builder
	quoted, open := false, false
	for _, c := range line {
		switch {
		case c == '"':
			quoted, open = !quoted, true
		case c == ' ' && !quoted:
			if open || word.Len() > 0 {
				words = append(words, word.String())
			}
			word.Reset()
			open = false
		default:
			word.WriteRune(c)
		}
	}
	if open || word.Len() > 0 {
		words = append(words, word.String())
	}
	return words
}

// TestBookDocs runs every command of docs/book.md, in the order of the page, and
// holds what it shows of their output to what they print. -update rewrites it.
func TestBookDocs(t *testing.T) {
	path := filepath.Join(root, "docs", "book.md")
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	folder := folderWithPass(t)
	example, err := os.ReadFile(filepath.Join(root, "docs", "example-book.json"))
	if err := errors.Join(err, os.WriteFile(filepath.Join(folder, "example-book.json"), example, 0o644)); err != nil {
		t.Fatal(err)
	}
	made := runPage(t, string(page), folder)
	if made == string(page) {
		return
	}
	if !*update {
		t.Errorf("%s does not show what its commands print; -update writes it anew. It must be\n%s", path, made)
		return
	}
	if err := os.WriteFile(path, []byte(made), 0o644); err != nil {
		t.Fatal(err)
	}
}

// runPage runs the commands of a page in a folder and gives the page with what they
// print now: in blocks of sh a line is a command, in blocks of console one behind $,
// with its output under it.
func runPage(t *testing.T, page, folder string) string {
	t.Helper()
	var made strings.Builder
	ran, fence := 0, ""
	for line := range strings.Lines(page) {
		opens := strings.HasPrefix(line, "```")
		switch {
		case opens && fence != "":
			fence = ""
		case opens:
			fence = strings.TrimSpace(strings.TrimPrefix(line, "```"))
		case fence == "console" && !strings.HasPrefix(line, "$ "):
			continue // what it printed when the page was written
		}
		made.WriteString(line)
		command, shown := strings.CutPrefix(strings.TrimSpace(line), "$ ")
		if opens || (fence != "sh" && fence != "console") || command == "" {
			continue
		}
		ran++
		if out := runIn(t, folder, command); shown {
			made.WriteString(out)
		}
	}
	if ran < 8 {
		t.Errorf("only %d commands were run", ran)
	}
	return made.String()
}

// runIn runs a command line of the program, with the book in the same folder.
func runIn(t *testing.T, folder, command string) string {
	t.Helper()
	words := wordsOf(command)
	if words[0] != "topnote" {
		t.Fatalf("this test does not know how to run %q", command)
	}
	cmd := exec.Command(program, words[1:]...)
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "XDG_DATA_HOME="+filepath.Join(folder, "data"))
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Errorf("%s: %v\n%s", command, err, errs.String())
	}
	return string(out)
}

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// hostile is a name that moves the cursor, rings, turns the direction of
// writing, begins a line and is no text.
const hostile = "a\x1b[2J\a\u202e\u009b\n\xff.wav"

// TestHostileName: nothing that the program prints or writes about a recording
// has a character of its name that cannot be printed, whether it is measured,
// refused or missing; nor does it repeat such a flag or command.
func TestHostileName(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("this system has no such names")
	}
	t.Parallel()
	folder := t.TempDir()
	pass, letter := filepath.Join(folder, "pass"+hostile), filepath.Join(folder, "letter"+hostile)
	for path, body := range map[string][]byte{pass: goodWAV(), letter: []byte("This is a letter.")} {
		if err := os.WriteFile(path, body, 0o644); err != nil {
			t.Skip("this system has no such names:", err)
		}
	}
	summary := filepath.Join(folder, "all.csv")
	missing := filepath.Join(folder, "missing"+hostile)
	for _, args := range [][]string{
		{"measure", pass, letter, missing, "--summary", summary},
		{"measure", pass, "--format", "json"},
		{"measure", pass, "--format", "csv"},
		{"measure", pass, "--format", "vtt"},
		{"measure", pass, "--reply"},
		{"measure", pass, "--out", filepath.Join(missing, "x")},
		{"measure", pass, "--plot", hostile},
		{"measure", pass, "--limit", hostile},
		{"measure", pass, "--" + hostile},
		{"measure", pass, "-" + hostile},
		{"measure", pass, "--=" + hostile},
		{"compare", pass, pass + "x", letter},
		{hostile},
		{"book", "passes", "--book", missing},
		{"air", "--temp", hostile, "--altitude", "0"},
		{"completion", hostile},
	} {
		var out, errs bytes.Buffer
		run(t.Context(), args, streams{strings.NewReader(""), &out, &errs})
		if out.Len()+errs.Len() == 0 {
			t.Errorf("%q prints nothing", args)
		}
		wantPrintable(t, args, strings.ReplaceAll(out.String(), "\r\n", "\n"))
		wantPrintable(t, args, errs.String())
		if lines := strings.Count(errs.String(), "\n"); lines > len(args) {
			t.Errorf("%q prints %d lines: %q", args, lines, errs.String())
		}
	}
	table, err := os.ReadFile(summary)
	if err != nil {
		t.Fatal(err)
	}
	if lines := bytes.Count(table, []byte("\r\n")); lines != 3 || bytes.Count(table, []byte("\n")) != lines {
		t.Errorf("the summary of two recordings (the missing one is taken for a pattern) has %d rows:\n%q", lines, table)
	}
	wantPrintable(t, []string{"summary"}, strings.ReplaceAll(string(table), "\r\n", "\n"))
}

func wantPrintable(t *testing.T, args []string, text string) {
	t.Helper()
	i := strings.IndexFunc(text, func(c rune) bool { return !unicode.IsPrint(c) && c != '\n' })
	if i >= 0 || !utf8.ValidString(text) {
		t.Errorf("%q prints what cannot be printed: %q", args, text[max(0, i):])
	}
}

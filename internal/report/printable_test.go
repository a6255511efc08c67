package report_test

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"

	"topnote/internal/report"
)

// hostileNames are names of files that do harm where they are printed as they
// are: they move the cursor, set the title, ring, turn the direction of writing,
// begin a line of their own, or are no text.
var hostileNames = []string{
	"a\x1b[2Jb.wav", "a\x1b]0;title\x07.wav", "bell\a.wav", "exe\u202evaw.txt", "\u2066a\u2069.wav", "two\nlines.wav",
	"return\r.wav", "tab\t.wav", "\u009b31mred.wav", "del\x7f.wav", "invalid\xff\xfe.wav", "nul\x00.wav", "=1+2\u202e.wav",
	"--> \n\n00:00.000 --> 00:01.000\x1b.wav", "sep\u2028.wav", "tag\U000e0041.wav",
}

// unsafe gives where a form has a character that does not belong there: one that
// cannot be printed and is no line end.
func unsafe(text string) int {
	if !utf8.ValidString(text) {
		return 0
	}
	return strings.IndexFunc(text, func(c rune) bool { return !unicode.IsPrint(c) && c != '\n' })
}

// forms gives every form of a result, and of two side by side, in which a name
// is printed.
func forms(t interface{ Fatal(...any) }, name string) map[string]string {
	p := madeParts()
	p.Clip.File = name
	r := report.New(p)
	one := report.Outcome{File: name, Report: &r}
	two := report.Comparison{Passes: []report.ComparedPass{{Report: r}, {Report: r}}, Pairs: []report.Pair{{Pass: 2}}}
	lost := report.Outcome{File: name, Problem: "open " + name + ": no such file"}
	all := map[string]string{}
	for form, write := range map[string]func(io.Writer) error{
		"text":            func(w io.Writer) error { return report.WriteText(w, r, page) },
		"captions":        func(w io.Writer) error { return report.WriteVTT(w, r) },
		"table":           func(w io.Writer) error { return report.WriteTable(w, []report.Outcome{one, lost}, page) },
		"summary":         func(w io.Writer) error { return report.WriteSummary(w, []report.Outcome{one, lost}) },
		"JSON":            func(w io.Writer) error { return report.WriteJSON(w, r) },
		"comparison":      func(w io.Writer) error { return report.WriteComparisonText(w, two, page) },
		"comparison JSON": func(w io.Writer) error { return report.WriteComparisonJSON(w, two) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		all[form] = strings.ReplaceAll(b.String(), "\r\n", "\n") // the line ends of CSV
	}
	return all
}

// TestHostileNames: no form writes a character of a file's name that cannot be
// printed, nor a line more than for a plain name, and JSON still has the name.
func TestHostileNames(t *testing.T) {
	t.Parallel()
	lines := map[string]int{}
	for form, text := range forms(t, "a.wav") {
		lines[form] = strings.Count(text, "\n")
	}
	check := func(t interface {
		Fatal(...any)
		Errorf(string, ...any)
	}, name string,
	) {
		all := forms(t, name)
		for form, text := range all {
			if i := unsafe(text); i >= 0 {
				t.Errorf("%s of %q has a character that cannot be printed: %q", form, name, text[i:min(len(text), i+20)])
			}
			if got := strings.Count(text, "\n"); form != "text" && form != "comparison" && got != lines[form] { // those two wrap
				t.Errorf("%s of %q has %d lines, of a plain name %d", form, name, got, lines[form])
			}
		}
		var back struct{ Clip struct{ File string } }
		if err := json.Unmarshal([]byte(all["JSON"]), &back); err != nil {
			t.Fatal(err)
		}
		if utf8.ValidString(name) && back.Clip.File != name {
			t.Errorf("the JSON of %q names %q", name, back.Clip.File)
		}
	}
	for _, name := range hostileNames {
		check(t, name)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, rapid.String().Draw(t, "name")) })
}

// TestPrintable: names that can be printed stay as they are, others are quoted,
// and a sentence keeps its own backslashes and quotes.
func TestPrintable(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ name, quoted, line string }{
		{"Säge №3 \"rich\".wav", "Säge №3 \"rich\".wav", "Säge №3 \"rich\".wav"},
		{`C:\passes\a.wav`, `C:\passes\a.wav`, `C:\passes\a.wav`},
		{"a\x1b[2J.wav", `"a\x1b[2J.wav"`, `a\x1b[2J.wav`},
		{"bell\a", `"bell\a"`, `bell\a`},
		{"exe\u202evaw.txt", `"exe\u202evaw.txt"`, `exe\u202evaw.txt`},
		{"two\nlines", `"two\nlines"`, "two lines"},
		{"\xff", `"\xff"`, `\xff`},
		{"\"C:\\a\x07\"", `"\"C:\\a\a\""`, `"C:\a\a"`},
	} {
		if got := report.Printable(tt.name); got != tt.quoted {
			t.Errorf("Printable(%q) = %s, want %s", tt.name, got, tt.quoted)
		}
		if got := report.OneLine(tt.name); got != tt.line {
			t.Errorf("OneLine(%q) = %s, want %s", tt.name, got, tt.line)
		}
	}
}

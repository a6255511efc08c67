package layout

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// written gives what write puts on a page of so many columns.
func written(t testing.TB, columns int, write func(Page)) string {
	t.Helper()
	var out strings.Builder
	p := NewPage(&out, columns)
	write(p)
	if err := p.Flush(); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestWrap(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		columns          int
		lead, text, want string
	}{
		{12, "", "one two three four", "one two\nthree four\n"},
		{12, "- ", "one two three four", "- one two\n  three four\n"},
		{10, "", "about 12,600 rpm.", "about\n12,600 rpm.\n"}, // the unit stays with its number, though the line is too long
		{10, "", "no s here", "no s here\n"},
		{4, "", "a longest b", "a\nlongest\nb\n"},
		{5, "", "ä° öü", "ä° öü\n"}, // five characters, nine bytes
		{5, "> ", "", "> \n"},
	} {
		if got := written(t, c.columns, func(p Page) { p.Wrap(c.lead, c.text) }); got != c.want {
			t.Errorf("%q in %d columns: %q, want %q", c.text, c.columns, got, c.want)
		}
	}
}

// TestWrapKeepsEveryWord: no word is lost, and a line is too long only where it
// is a single word or a number with its unit.
func TestWrapKeepsEveryWord(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		words := rapid.SliceOf(rapid.SampledFrom([]string{"a", "12", "rpm", "mixture", "°C", "(3", "%)", "ö"})).Draw(rt, "words")
		columns := rapid.IntRange(1, 30).Draw(rt, "columns")
		text := written(t, columns, func(p Page) { p.Wrap("", strings.Join(words, " ")) })
		if got := strings.Fields(text); strings.Join(got, " ") != strings.Join(words, " ") {
			rt.Fatalf("%q became %q", words, got)
		}
		for line := range strings.Lines(text) {
			line = strings.TrimSuffix(line, "\n")
			if utf8.RuneCountInString(line) > columns && len(splitWords(line)) > 1 {
				rt.Fatalf("%q has more than %d characters", line, columns)
			}
		}
	})
}

func TestTable(t *testing.T) {
	t.Parallel()
	rows := [][]string{{"", "rpm", "°C"}, {"now", "9,000", "3"}, {"then"}}
	want := "        rpm  °C\nnow   9,000  3\nthen\n"
	if got := written(t, 80, func(p Page) { p.Table(rows, 1) }); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestList(t *testing.T) {
	t.Parallel()
	if got := written(t, 80, func(p Page) { p.List("None", nil) }); got != "" {
		t.Errorf("a list of nothing: %q", got)
	}
	if got := written(t, 80, func(p Page) { p.List("Some", []string{"a", "b"}) }); got != "\nSome\n- a\n- b\n" {
		t.Errorf("got %q", got)
	}
}

func TestCount(t *testing.T) {
	t.Parallel()
	for n, want := range map[int]string{0: "0 passes", 1: "1 pass", 2: "2 passes"} {
		if got := Count(n, "pass", "passes"); got != want {
			t.Errorf("%d: %q", n, got)
		}
	}
}

// TestErrorComesOutOfFlush: a full disk is told, though no block returns it.
func TestErrorComesOutOfFlush(t *testing.T) {
	t.Parallel()
	p := NewPage(failing{}, 80)
	p.Wrap("", strings.Repeat("word ", 2000))
	if err := p.Flush(); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}

var errFull = errors.New("full")

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errFull }

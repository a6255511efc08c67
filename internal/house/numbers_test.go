package house

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const numbersPage = "docs/numbers.md"

// classes say where a number comes from, in the order in which the page counts them.
var classes = []string{"physical", "derived", "definition", "algorithm", "resource", "tuned"}

// maxTuned is how many numbers may be tuned: hardly more than there are. It may fall, but
// not rise: a new one takes the place of an old one. Issue 14 asks for fewer than 150.
const maxTuned = 144

// numberWhy is the class of a number, and why it is so.
type numberWhy struct{ class, why string }

const numbersHead = `# Numbers

Every number that is a choice in the code between the bytes of a file and the verdict,
by package: constants, and what stands in formulas (marked with ` + "`()`" + ` after the name of
the function). Not listed are nothing, one, twice and half in a formula, factors of
units, places and sizes of arrays, and the files that read a format or are an algorithm
as a whole, whose numbers are those of its specification.

| class | what it says |
| --- | --- |
| physical | a fact of engines, people or rooms, with its source |
| derived | follows from other numbers or from a stated reason |
| definition | what a word in the report means |
| algorithm | part of a formula, of a format, or too small or large to matter |
| resource | memory, time, or the fineness of a search; results hardly depend on it |
| tuned | chosen on sounds; [sensitivity.md](sensitivity.md) shows how far it can move |

The test that writes this page fails on a number that is not in it, on one without a
class or a reason, and where more are tuned than it allows. After a change of the code,

` + "```sh" + `
go test -run Numbers ./internal/house -update
` + "```" + `

takes in new numbers as tuned, without a reason: write it into the last cell, and
correct the class.

`

// readNumbers gives the classes and reasons on the page, by package and name.
func readNumbers(page string) map[string]numberWhy {
	known := map[string]numberWhy{}
	for _, line := range strings.Split(page, "\n") {
		cells := strings.Split(strings.Trim(line, "|"), "|")
		if len(cells) != 5 {
			continue
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		known[cells[0]+" "+cells[1]+" "+cells[2]] = numberWhy{cells[3], cells[4]}
		known[cells[0]+" "+cells[1]] = numberWhy{cells[3], cells[4]} // where only the value changes
	}
	return known
}

// writeNumbers gives the page of all numbers, with what is known of them.
func writeNumbers(all []found, known map[string]numberWhy) (page string, count map[string]int) {
	var rows strings.Builder
	count = map[string]int{}
	for _, f := range all {
		value := strings.Join(strings.Fields(f.value), " ")
		w, ok := known[f.pkg+" "+f.name+" "+value]
		if !ok {
			w, ok = known[f.pkg+" "+f.name]
		}
		if !ok {
			w.class = "tuned"
		}
		count[w.class]++
		fmt.Fprintf(&rows, "| %s | %s | %s | %s | %s |\n", f.pkg, f.name, value, w.class, w.why)
	}
	var b strings.Builder
	b.WriteString(numbersHead)
	for i, c := range classes {
		sep := ", "
		if i == len(classes)-1 {
			sep = ".\n\n"
		}
		fmt.Fprintf(&b, "%d %s%s", count[c], c, sep)
	}
	b.WriteString("| package | name | value | class | why |\n| --- | --- | --- | --- | --- |\n")
	return b.String() + rows.String(), count
}

// TestNumbers holds docs/numbers.md to the code, and each number to a class and a
// reason.
func TestNumbers(t *testing.T) {
	all := scanNumbers(t)
	if len(all) < 300 {
		t.Fatalf("only %d numbers were found", len(all))
	}
	old := readPage(t, numbersPage)
	now, count := writeNumbers(all, readNumbers(old))
	for _, line := range strings.Split(now, "\n") {
		cells := strings.Split(strings.Trim(line, "|"), "|")
		if len(cells) == 5 && strings.TrimSpace(cells[4]) == "" {
			t.Errorf("%s: write the reason of this number into %s, and correct its class", line, numbersPage)
		}
	}
	for class := range count {
		if !strings.Contains(strings.Join(classes, " "), class) {
			t.Errorf("%s has the class %q", numbersPage, class)
		}
	}
	if count["tuned"] > maxTuned {
		t.Errorf("%d numbers are tuned, %d may be: derive the new ones, or take others out", count["tuned"], maxTuned)
	}
	if now == old {
		return
	}
	if !*update {
		t.Errorf("%s is not that of the code; renew it with go test -run Numbers ./internal/house -update", numbersPage)
		return
	}
	if err := os.WriteFile(filepath.Join("..", "..", numbersPage), []byte(now), 0o644); err != nil {
		t.Fatal(err)
	}
}

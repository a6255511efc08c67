package report_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/report"
	"topnote/internal/verdict"
)

// outcome makes one of many: code, speed held, limit 13,500.
func outcome(file string, code verdict.Code, held engine.RPM) report.Outcome {
	p := madeParts()
	p.Verdict.Code = code
	p.Pass.TopEnd = nil
	if held.Told() {
		p.Pass.TopEnd = &pass.TopEnd{Sustained: pass.Figure{Speed: held, SD: 24}, Peak: pass.Figure{Speed: held + 60, SD: 24}, FourStroking: 0.25, Clean: 0.75}
	}
	r := report.New(p)
	r.Clip.File = file
	return report.Outcome{File: file, Report: &r}
}

func many() []report.Outcome {
	driven := outcome("rich, chain driven.wav", verdict.FourStroking, 12500)
	driven.Report.Verdict.Findings = append(driven.Report.Verdict.Findings, report.Finding{Code: "chain-driven"})
	return []report.Outcome{
		outcome("rich.wav", verdict.FourStroking, 12700),
		{File: "letter.txt", Problem: "this is no recording; choose another"},
		outcome("a/long/way/down/to/the/folder/of/the/customer/over.wav", verdict.OverLimit, 13900),
		outcome("birds.wav", verdict.NoEngine, 0),
		outcome("way over.wav", verdict.OverLimit, 14400),
		outcome("=1+2.wav", verdict.CleanBelowLimit, 13200),
		outcome("rich, too.wav", verdict.FourStroking, 12900),
		driven,
	}
}

func TestGoldenMany(t *testing.T) {
	var text, table bytes.Buffer
	if err := report.WriteTable(&text, many(), page); err != nil {
		t.Fatal(err)
	}
	golden(t, "many.txt", text.Bytes())
	if err := report.WriteSummary(&table, many()); err != nil {
		t.Fatal(err)
	}
	golden(t, "many.csv", table.Bytes())
}

// TestTableOrder: what endangers comes first, and of two the one further over
// its limit; a finding that is dangerous counts as much as a verdict; a
// recording that could not be read comes before the safe ones.
func TestTableOrder(t *testing.T) {
	var b bytes.Buffer
	if err := report.WriteTable(&b, many(), page); err != nil {
		t.Fatal(err)
	}
	at := -1
	for _, name := range []string{"way over.wav", "customer/over.wav", "rich, chain driven.wav", "=1+2.wav", "letter.txt", "birds.wav", "rich, too.wav", "rich.wav"} {
		next := strings.Index(b.String(), name)
		if next <= at {
			t.Errorf("%s is missing or too far up in\n%s", name, b.String())
		}
		at = next
	}
}

// TestTableWidth: the table keeps to its width, and colour adds nothing that is
// read.
func TestTableWidth(t *testing.T) {
	var plain, coloured bytes.Buffer
	if err := errors.Join(
		report.WriteTable(&plain, many(), page),
		report.WriteTable(&coloured, many(), report.TextStyle{Colour: true, Columns: report.DefaultColumns})); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(plain.String()) {
		if n := utf8.RuneCountInString(line) - 1; n > report.DefaultColumns {
			t.Errorf("%d columns in %q", n, line)
		}
	}
	if !attributes.Match(coloured.Bytes()) || attributes.ReplaceAllString(coloured.String(), "") != plain.String() {
		t.Errorf("the coloured table says something else:\n%s", coloured.String())
	}
}

// TestSummary reads the table with another reader: one row for each recording,
// in order, with its figures, and nothing that a spreadsheet would calculate.
func TestSummary(t *testing.T) {
	var b bytes.Buffer
	if err := report.WriteSummary(&b, many()); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+len(many()) {
		t.Fatalf("%d rows for %d recordings", len(rows), len(many()))
	}
	cell := func(row int, column string) string { return rows[row][slices.Index(rows[0], column)] }
	for _, c := range []struct {
		row          int
		column, want string
	}{
		{1, "file", "rich.wav"}, {1, "code", "four-stroking"}, {1, "sustained_rpm", "12700"}, {1, "over_limit_rpm", "-800"}, {1, "idle_rpm", "2765"},
		{1, "fall_s", ""}, {2, "file", "letter.txt"}, {2, "error", "this is no recording; choose another"}, {2, "code", ""},
		{4, "sustained_rpm", ""}, {4, "over_limit_rpm", ""}, {5, "over_limit_rpm", "900"}, {6, "file", "./=1+2.wav"}, {7, "problems", "wind"}, {7, "max_rpm", "13500"},
		{7, "findings", "hangs"}, {8, "findings", "hangs chain-driven"}, {8, "code", "four-stroking"},
	} {
		if got := cell(c.row, c.column); got != c.want {
			t.Errorf("row %d, %s: %q, want %q", c.row, c.column, got, c.want)
		}
	}
}

// TestSummaryAnyName: whatever a file is called, its row is read back, and its
// first cell is no formula. What cannot be printed is quoted: TestHostileNames.
//
// Source of what begins a formula: common practice (=, +, -, @, tab, return).
func TestSummaryAnyName(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.StringMatching(`[=+@\-a,"']{1,3}[a-z]{0,3}`).Draw(rt, "name")
		var b bytes.Buffer
		if err := report.WriteSummary(&b, []report.Outcome{{File: name}}); err != nil {
			rt.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != 2 {
			rt.Fatalf("%d rows (%v)", len(rows), err)
		}
		got := rows[1][0]
		if strings.TrimPrefix(got, "./") != name || name != "-" && strings.ContainsRune("=+-@\t\r", rune(got[0])) {
			rt.Fatalf("%q became %q", name, got)
		}
	})
}

func TestManyWriteErrors(t *testing.T) {
	if err := report.WriteTable(full{}, many(), page); !errors.Is(err, errFull) {
		t.Errorf("text on a full disk gives %v", err)
	}
	if err := report.WriteSummary(full{}, many()); !errors.Is(err, errFull) {
		t.Errorf("CSV on a full disk gives %v", err)
	}
}

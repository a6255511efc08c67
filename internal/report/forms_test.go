package report_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/report"
	"topnote/internal/verdict"
)

func asText(t testing.TB, r report.Report, style report.TextStyle) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.WriteText(&b, r, style); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var page = report.TextStyle{Columns: report.DefaultColumns}

func TestGoldenText(t *testing.T) {
	safe := madeParts()
	safe.Verdict = verdict.Verdict{Code: verdict.FourStroking, Says: "Four-strokes at full throttle under the limit: safe side.", Cautions: []string{"The maker's handbook and local rules come first."}}
	safe.Pass.TopEnd.Sustained.Speed = 12640
	safe.Clip.File = "bad\x1b[31mname\n.wav"
	open := madeParts()
	open.Query.Limits.Max = 0
	open.Query.Spec = engine.Spec{Strokes: 4, Cylinders: 2}
	open.Verdict = verdict.Verdict{Code: verdict.NoLimit, Says: "Held 13,842 rpm; no limit was entered, so nothing is judged."}
	for name, p := range map[string]report.Parts{
		"over-limit.txt": madeParts(), "four-stroking.txt": safe, "no-limit.txt": open, "no-engine.txt": bare(),
	} {
		golden(t, name, []byte(asText(t, report.New(p), page)))
	}
}

// TestTextOpens: the verdict's sentence comes first, the speed against the limit
// in rpm and percent next.
func TestTextOpens(t *testing.T) {
	r := report.New(madeParts())
	flat := strings.Join(strings.Fields(asText(t, r, page)), " ")
	if !strings.HasPrefix(flat, r.Verdict.Says) {
		t.Errorf("the text opens with %.80q, want the verdict's sentence", flat)
	}
	// 13842.3 - 13500 = 342.3, to the nearest ten 340; 342.3/13500 = 2.54 %.
	against, advice := strings.Index(flat, "340 rpm (2.5 %) above the limit of 13,500 rpm"), strings.Index(flat, "What to do")
	if against < 0 || advice < against {
		t.Errorf("the speed against the limit is at %d, the advice at %d", against, advice)
	}
}

// TestTextAtTheLimit: a sentence must not say that a speed is below the limit
// by nothing, nor hide that it is above it.
func TestTextAtTheLimit(t *testing.T) {
	for speed, want := range map[float64]string{
		13500: "just below the limit of 13,500 rpm", 13501: "just above the limit of 13,500 rpm", 13365: "130 rpm (1.0 %) below",
	} {
		p := madeParts()
		p.Pass.TopEnd = &pass.TopEnd{Sustained: pass.Figure{Speed: engine.RPM(speed), SD: 10}}
		if got := asText(t, report.New(p), page); !strings.Contains(got, want) {
			t.Errorf("at %v rpm the text lacks %q:\n%s", speed, want, got)
		}
	}
}

var attributes = regexp.MustCompile("\x1b\\[[0-9;]*m")

// TestColourCarriesNothing: without the terminal's attributes the coloured text
// is the plain one, letter for letter, and no control character of a file's
// name gets through.
func TestColourCarriesNothing(t *testing.T) {
	p := madeParts()
	p.Clip.File = "a\x1b]0;title\x07.wav"
	r := report.New(p)
	plain := asText(t, r, page)
	coloured := asText(t, r, report.TextStyle{Colour: true, Columns: report.DefaultColumns})
	if !attributes.MatchString(coloured) {
		t.Error("the coloured text has no colour")
	}
	if got := attributes.ReplaceAllString(coloured, ""); got != plain {
		t.Errorf("the coloured text says something else:\n%s\n%s", got, plain)
	}
	if i := strings.IndexFunc(plain, func(c rune) bool { return c < ' ' && c != '\n' }); i >= 0 {
		t.Errorf("a control character at byte %d of\n%q", i, plain)
	}
}

func TestTextWidth(t *testing.T) {
	for _, columns := range []int{40, 72, 80, 120} {
		text := asText(t, report.New(madeParts()), report.TextStyle{Columns: columns})
		for line := range strings.Lines(text) {
			line = strings.TrimSuffix(line, "\n")
			if n := utf8.RuneCountInString(line); n > max(columns, 72) {
				t.Errorf("%d columns wanted, %d in %q", columns, n, line)
			}
			if strings.TrimRight(line, " ") != line {
				t.Errorf("blanks at the end of %q", line)
			}
		}
	}
}

// TestUnits: a number and its unit stay on one line.
func TestUnits(t *testing.T) {
	for _, columns := range []int{40, 50, 60, 70, 80} {
		for line := range strings.Lines(asText(t, report.New(madeParts()), report.TextStyle{Columns: columns})) {
			first, _, _ := strings.Cut(strings.TrimSpace(line), " ")
			switch strings.Trim(first, ".,;:()\n") {
			case "rpm", "%", "s", "Hz", "dB":
				t.Errorf("at %d columns a line starts with a unit: %q", columns, line)
			}
		}
	}
}

// TestCSV reads the table with another reader and finds the track in it.
func TestCSV(t *testing.T) {
	r := report.New(madeParts())
	var b bytes.Buffer
	if err := report.WriteCSV(&b, r); err != nil {
		t.Fatal(err)
	}
	golden(t, "over-limit.csv", b.Bytes())
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(rows[0], " "); got != "t_s rpm sd_rpm confidence fires_every_rev" {
		t.Errorf("header %q", got)
	}
	if len(rows) != 1+len(r.Track) {
		t.Fatalf("%d rows for %d points", len(rows), len(r.Track))
	}
	number := func(cell string) float64 {
		if cell == "" {
			return 0
		}
		v, err := strconv.ParseFloat(cell, 64)
		if err != nil {
			t.Error(err)
		}
		return v
	}
	for i, p := range r.Track {
		row := rows[i+1]
		got := report.Point{
			TimeS: number(row[0]), RPM: report.Speed(number(row[1])), SDRPM: number(row[2]),
			Confidence: number(row[3]), FiresEveryRev: int(number(row[4])),
		}
		p.FiringConfidence = 0 // has no column
		if got != p {
			t.Errorf("row %d is %+v, want %+v", i, got, p)
		}
		if told := row[1] != ""; told != p.RPM.Told() {
			t.Errorf("row %d: a speed in the table: %v, in the track: %v", i, told, p.RPM.Told())
		}
	}
}

// TestSpeedWords: a speed that was entered is written to the last digit, one
// that was measured to the nearest ten, and a missing one as a dash.
func TestSpeedWords(t *testing.T) {
	for v, want := range map[report.Speed][2]string{
		0: {"-", "-"}, 13505: {"13,505", "13,510"}, 13842.3: {"13,842", "13,840"}, 9994.9: {"9,995", "9,990"},
	} {
		if got := [2]string{v.String(), v.Reading()}; got != want {
			t.Errorf("%v rpm is written %q, want %q", float64(v), got, want)
		}
	}
}

// full fails as a full disk does.
type full struct{}

var errFull = errors.New("no space left")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestWriteErrors(t *testing.T) {
	r := report.New(madeParts())
	for name, err := range map[string]error{
		"JSON": report.WriteJSON(full{}, r),
		"CSV":  report.WriteCSV(full{}, r),
		"text": report.WriteText(full{}, r, page),
		"VTT":  report.WriteVTT(full{}, r),
	} {
		if !errors.Is(err, errFull) {
			t.Errorf("%s on a full disk gives %v", name, err)
		}
	}
}

func ExampleWriteText() {
	r := report.New(bare())
	if err := report.WriteText(os.Stdout, r, report.TextStyle{Columns: 60}); err != nil {
		panic(err)
	}
	// Output:
	// No engine was heard.
	// (no-engine)
	//
	// Take care
	//   - Wear ear protection.
	//
	// The recording
	//   file           -
	//   sound          1.0 s, WAV pcm_u8, 8,000 Hz, 1 channel
	//   measured as    four-stroke, 2 cylinders
	//   quality        0.0 % clipped
}

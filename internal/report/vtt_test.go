package report_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/report"
)

func asVTT(t testing.TB, r report.Report) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.WriteVTT(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// cue is a caption as a reader of the standard sees it; times in ms.
type cue struct {
	from, to int
	text     string
}

var (
	errVTT     = errors.New("not WebVTT")
	vttHead    = regexp.MustCompile(`^\x{FEFF}?WEBVTT(?:[ \t][^\r\n]*)?$`)
	vttTimings = regexp.MustCompile(`^([^ \t]+)[ \t]+-->[ \t]+([^ \t]+)(?:[ \t]+(.+))?$`)
	vttStamp   = regexp.MustCompile(`^(?:([0-9]{2,}):)?([0-5][0-9]):([0-5][0-9])\.([0-9]{3})$`)
	vttSetting = regexp.MustCompile(`^(?:vertical:(?:rl|lr)|line:[^ \t]+|position:[^ \t]+|size:[0-9.]+%|align:(?:start|center|end|left|right))$`)
	vttRef     = regexp.MustCompile(`&(?:amp|lt|gt|lrm|rlm|nbsp|#[0-9]+|#x[0-9a-fA-F]+);`)
)

// parseVTT holds a file to the grammar and gives its cues; regions, style
// blocks and tags within captions, which we do not write, are refused.
//
// Source: W3C, WebVTT, sections "WebVTT file structure", "WebVTT cue timings",
// "WebVTT timestamp", "WebVTT cue settings", "WebVTT comment block", "WebVTT
// caption or subtitle cue text", read 2026-11-25.
func parseVTT(text string) ([]cue, error) {
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return nil, fmt.Errorf("%w: not UTF-8 text", errVTT)
	}
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	head, body, found := strings.Cut(text, "\n")
	if !vttHead.MatchString(head) {
		return nil, fmt.Errorf("%w: it begins with %q", errVTT, head)
	}
	if found && body != "" && body[0] != '\n' {
		return nil, fmt.Errorf("%w: no empty line after the head", errVTT)
	}
	if body != "" && !strings.HasSuffix(body, "\n") {
		return nil, fmt.Errorf("%w: the last line is not ended", errVTT)
	}
	var cues []cue
	ids := map[string]bool{}
	for _, block := range regexp.MustCompile(`\n{2,}`).Split(strings.Trim(body, "\n"), -1) {
		lines := strings.Split(block, "\n")
		switch first := lines[0]; {
		case block == "":
			continue
		case first == "NOTE" || strings.HasPrefix(first, "NOTE ") || strings.HasPrefix(first, "NOTE\t"):
			if strings.Contains(block, "-->") {
				return nil, fmt.Errorf("%w: an arrow in the comment %q", errVTT, block)
			}
			continue
		case !strings.Contains(first, "-->"): // an identifier
			if ids[first] || len(lines) == 1 {
				return nil, fmt.Errorf("%w: the block %q", errVTT, block)
			}
			ids[first] = true
			lines = lines[1:]
		}
		c, err := parseCue(lines)
		if err != nil {
			return nil, err
		}
		if len(cues) > 0 && c.from < cues[len(cues)-1].from {
			return nil, fmt.Errorf("%w: %q begins before the one before it", errVTT, lines[0])
		}
		cues = append(cues, c)
	}
	return cues, nil
}

func parseCue(lines []string) (cue, error) {
	m := vttTimings.FindStringSubmatch(lines[0])
	if m == nil {
		return cue{}, fmt.Errorf("%w: the timings %q", errVTT, lines[0])
	}
	from, err := parseStamp(m[1])
	to, err2 := parseStamp(m[2])
	if err := errors.Join(err, err2); err != nil {
		return cue{}, err
	}
	if to <= from {
		return cue{}, fmt.Errorf("%w: %q ends before it begins", errVTT, lines[0])
	}
	for _, s := range strings.Fields(m[3]) {
		if !vttSetting.MatchString(s) {
			return cue{}, fmt.Errorf("%w: the setting %q", errVTT, s)
		}
	}
	text := strings.Join(lines[1:], "\n")
	if strings.Contains(text, "-->") || strings.ContainsAny(vttRef.ReplaceAllString(text, ""), "<&") {
		return cue{}, fmt.Errorf("%w: markup in the caption %q", errVTT, text)
	}
	return cue{from, to, text}, nil
}

func parseStamp(text string) (int, error) {
	m := vttStamp.FindStringSubmatch(text)
	if m == nil {
		return 0, fmt.Errorf("%w: the time %q", errVTT, text)
	}
	ms := 0
	for i, worth := range []int{60 * 60 * 1000, 60 * 1000, 1000, 1} {
		if m[i+1] != "" {
			v, err := strconv.Atoi(m[i+1])
			if err != nil {
				return 0, fmt.Errorf("%w: the time %q: %w", errVTT, text, err)
			}
			ms += v * worth
		}
	}
	return ms, nil
}

// TestGrammarCheck: the check of the grammar can fail, and does where the
// standard says so.
func TestGrammarCheck(t *testing.T) {
	const head, good = "WEBVTT\n\n", "00:01.000 --> 00:02.000\nwords\n"
	for _, text := range []string{
		"WEBVTT", "WEBVTT\n", "\ufeffWEBVTT made here\n\n", head + good, "WEBVTT\r\n\r\n00:01.000 --> 01:00:02.000 line:80%\r\na &amp; b\r\n",
		head + "NOTE\nof mine\n\n" + good, head + "1\n" + good, head + "00:01.000 --> 00:02.000\n",
	} {
		if _, err := parseVTT(text); err != nil {
			t.Errorf("%q is refused: %v", text, err)
		}
	}
	for _, text := range []string{
		"", "WEBVT\n\n" + good, "WEBVTTX\n\n" + good, "WEBVTT\n" + good, head + "00:01.000 -> 00:02.000\nwords\n",
		head + "00:01.00 --> 00:02.000\nwords\n", head + "0:01.000 --> 00:02.000\nwords\n", head + "00:60.000 --> 02:00.000\nwords\n",
		head + "00:02.000 --> 00:02.000\nwords\n", head + "00:03.000 --> 00:04.000\nwords\n\n" + good,
		head + "00:01.000 --> 00:02.000\na < b\n", head + "00:01.000 --> 00:02.000\na & b\n", head + "00:01.000 --> 00:02.000\na --> b\n",
		head + "NOTE a --> b\n\n" + good, head + "1\n" + good + "\n1\n" + good, head + "words\n", head + strings.TrimSuffix(good, "\n"),
		head + "00:01.000-->00:02.000\nwords\n", head + "00:01.000 --> 00:02.000 colour:red\nwords\n",
	} {
		if _, err := parseVTT(text); !errors.Is(err, errVTT) {
			t.Errorf("%q is taken for WebVTT", text)
		}
	}
}

// filmed gives the report of a pass of 4 s: 1 s of idle, a rise, four-stroking,
// a gap, clean over the limit.
func filmed() report.Report {
	r := report.New(madeParts())
	r.Clip.DurationS = 4.1
	r.Track = nil
	for i := range 205 {
		p := report.Point{TimeS: float64(i) * 0.02, SDRPM: 24, Confidence: 1}
		switch s := p.TimeS; {
		case s < 1:
			p.RPM, p.FiresEveryRev = 2804, 1
		case s < 1.5:
			p.RPM, p.SDRPM = report.Speed(2804+(s-1)*20000), 240
		case s < 2.5:
			p.RPM, p.FiresEveryRev = 12740, 2
		case s < 3:
		default:
			p.RPM, p.FiresEveryRev = 13940, 1
		}
		r.Track = append(r.Track, p)
	}
	return r
}

// TestVTT: each stretch of the pass has its caption, at its time; where there is
// no speed there is none.
func TestVTT(t *testing.T) {
	text := asVTT(t, filmed())
	golden(t, "filmed.vtt", []byte(text))
	cues, err := parseVTT(text)
	if err != nil {
		t.Fatal(err)
	}
	at := func(ms int) string {
		for _, c := range cues {
			if c.from <= ms && ms < c.to {
				return c.text
			}
		}
		return ""
	}
	for ms, want := range map[int]string{
		500:  "2,800 rpm ± 50\nfiring every turn",
		2000: "12,740 rpm ± 50\nfour-stroking, every 2nd turn",
		2700: "",
		3500: "13,940 rpm ± 50\nfiring every turn; over the limit of 13,500",
	} {
		if got := at(ms); got != want {
			t.Errorf("at %d ms the caption is %q, want %q", ms, got, want)
		}
	}
	if last := cues[len(cues)-1].to; last != 4100 {
		t.Errorf("the last caption ends at %d ms, want the end of the clip", last)
	}
	if len(cues) > 9 {
		t.Errorf("%d captions for four stretches and a rise of two", len(cues))
	}
}

// TestVTTAnyReport: whatever a report holds, its captions are valid, in order, not
// overlapping, and a quarter of a second long or more but for the last; and there is
// one in just those quarters of a second in which half of the readings or more have a
// speed.
func TestVTTAnyReport(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := madeParts()
		p.Track = drawnTrack(rt)
		p.Clip.File = rapid.OneOf(rapid.String(), rapid.Just("a --> b\n\nNOTE"), rapid.Just("--->")).Draw(rt, "file")
		p.Verdict.Says = rapid.String().Draw(rt, "says")
		r := report.New(p)
		hop := rapid.Float64Range(0.01, 2).Draw(rt, "hop")
		for i := range r.Track {
			r.Track[i].TimeS = engine.Round(float64(i)*hop, 1000)
		}
		r.Clip.DurationS = rapid.OneOf(rapid.Just(float64(len(r.Track))*hop), rapid.Float64Range(0, 8000)).Draw(rt, "duration")
		text := asVTT(t, r)
		cues, err := parseVTT(text)
		if err != nil {
			rt.Fatalf("%v\n%q", err, text)
		}
		for i, c := range cues {
			if i > 0 && c.from < cues[i-1].to {
				rt.Fatalf("caption %d begins before the one before it ends", i)
			}
			if c.to-c.from < 250 && i < len(cues)-1 {
				rt.Fatalf("caption %d stands for %d ms", i, c.to-c.from)
			}
		}
		for from, want := range captioned(r) {
			got := slices.ContainsFunc(cues, func(c cue) bool { return c.from <= from && from < c.to })
			if got != want {
				rt.Fatalf("at %d ms there is a caption: %v, want %v\n%s", from, got, want, text)
			}
		}
	})
}

// captioned says for the beginning of each quarter of a second, in ms, whether half of
// its readings or more have a speed.
func captioned(r report.Report) map[int]bool {
	const quarter = 250
	end := int(math.Round(r.Clip.DurationS * 1000))
	want := map[int]bool{}
	for from := 0; from < end; from += quarter {
		all, told := 0, 0
		for _, p := range r.Track {
			if at := math.Round(p.TimeS * 1000); at >= float64(from) && at < float64(min(end, from+quarter)) {
				all++
				if p.RPM.Told() {
					told++
				}
			}
		}
		want[from] = told > 0 && 2*told >= all
	}
	return want
}

func ExampleWriteVTT() {
	r := report.Report{
		Clip:   report.Clip{File: "saw.mov", DurationS: 0.5},
		Engine: report.Engine{Strokes: 2, Cylinders: 1},
		Track:  []report.Point{{TimeS: 0.1, RPM: 12704, SDRPM: 24, FiresEveryRev: 2}, {TimeS: 0.3, RPM: 12698, SDRPM: 24, FiresEveryRev: 2}},
	}
	r.Verdict.Says = "Safe side."
	if err := report.WriteVTT(os.Stdout, r); err != nil {
		panic(err)
	}
	// Output:
	// WEBVTT
	//
	// NOTE saw.mov
	//
	// NOTE Safe side.
	//
	// 00:00:00.000 --> 00:00:00.500
	// 12,700 rpm ± 50
	// four-stroking, every 2nd turn
}

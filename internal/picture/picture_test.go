package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/spectrum"
)

// passOf makes the report of a pass that idles for 2 s, rises to top within
// 0.4 s, stays to 7 s, and is back at idle at 8 s of 10; with no speed between
// 8.5 and 8.8 s. It fires as fires says on the plateau.
func passOf(top, limit float64, fires func(t float64) int) report.Report {
	const idle = 2750
	r := report.Report{
		Clip:   report.Clip{File: "pass.wav", DurationS: 10},
		Engine: report.Engine{Strokes: 2, Cylinders: 1},
		Limits: report.Limits{MaxRPM: report.Speed(limit), IdleRPM: 2800},
		Phases: []report.Phase{
			{Kind: "idle", FromS: 0, ToS: 2, RPMMedian: idle},
			{Kind: "rise", FromS: 2, ToS: 2.4},
			{Kind: "full-throttle", FromS: 2.4, ToS: 7},
			{Kind: "fall", FromS: 7, ToS: 8},
			{Kind: "return-to-idle", FromS: 8, ToS: 10},
		},
		TopEnd: &report.TopEnd{SustainedRPM: report.Speed(top), SDRPM: 31, PeakRPM: report.Speed(top + 150), FromS: 2.4, ToS: 7},
	}
	for i := range 500 {
		t := float64(i) * 0.02
		p := report.Point{TimeS: t, SDRPM: 30, Confidence: 0.98}
		wobble := 40 * math.Sin(7*t)
		switch {
		case t < 2:
			p.RPM = report.Speed(idle + wobble)
		case t < 2.4:
			p.RPM, p.SDRPM = report.Speed(idle+(top-idle)*(t-2)/0.4), 250
		case t < 7:
			p.RPM, p.FiresEveryRev = report.Speed(top+wobble), fires(t)
		case t < 8:
			p.RPM, p.SDRPM = report.Speed(top-(top-idle)*(t-7)), 120
		case t < 8.5 || t > 8.8:
			p.RPM = report.Speed(idle + wobble)
		}
		r.Track = append(r.Track, p)
	}
	return r
}

// mapOf makes the spectrogram that the sound of such a pass would have.
func mapOf(r report.Report) spectrum.Spectrogram {
	const bin, rows = engine.Hz(8000) / 1024, 128
	m := spectrum.Spectrogram{First: 0.01, Hop: 0.02, BinWidth: bin}
	for i, p := range r.Track {
		column := make([]float32, rows)
		for row := range column {
			column[row] = float32(2 + 3*math.Sin(float64(i*row%97)))
			if !p.RPM.Told() {
				continue
			}
			n := max(1, p.FiresEveryRev)
			f := float64(p.RPM) / 60 / float64(n)
			away := math.Mod(float64(row)*float64(bin)+f/2, f) - f/2
			column[row] += float32(24 * math.Exp(-away*away/60))
		}
		m.Levels = append(m.Levels, column)
	}
	return m
}

func rich(t float64) int {
	switch {
	case t < 3.4:
		return 1
	case t < 4.4:
		return 3
	case t < 4.6:
		return 0
	}
	return 2
}

func clean(float64) int { return 1 }

type look struct {
	name   string
	report report.Report
}

func looks() []look {
	over := passOf(14020, 13500, clean)
	over.Verdict.Code = "over-limit"
	burble := passOf(12640, 13500, rich)
	burble.Verdict.Code = "four-stroking"
	open := passOf(9000, 0, clean)
	open.Verdict.Code = "no-limit"
	none := report.Report{Clip: report.Clip{File: "birds.wav", DurationS: 4.2}, Phases: []report.Phase{{Kind: "no-engine", ToS: 4.2}}}
	none.Verdict.Code = "no-engine"
	return []look{{"over", over}, {"burble", burble}, {"open", open}, {"none", none}}
}

var update = flag.Bool("update", false, "write the golden files anew")

func drawn(t testing.TB, f Format, s Size, r report.Report, m spectrum.Spectrogram) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Draw(&b, f, s, r, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// words gives the text of an SVG in the order of drawing, and fails when it is not
// well-formed XML.
func words(t testing.TB, svg []byte) []string {
	t.Helper()
	var all []string
	in := ""
	for d := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatalf("the SVG is not well-formed: %v", err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			in = x.Name.Local
		case xml.EndElement:
			in = ""
		case xml.CharData:
			if in == "text" || in == "title" {
				all = append(all, string(x))
			}
		}
	}
}

// TestWords compares the words of each picture with a golden file. Strokes are not
// compared: their last digit may differ between processors.
func TestWords(t *testing.T) {
	for _, l := range looks() {
		t.Run(l.name, func(t *testing.T) {
			wantWords(t, l.name, drawn(t, SVG, DefaultSize, l.report, mapOf(l.report)))
		})
	}
}

// wantWords compares the words of a drawing with a golden file.
func wantWords(t *testing.T, name string, svg []byte) {
	t.Helper()
	got := strings.Join(words(t, svg), "\n") + "\n"
	path := filepath.Join("testdata", "golden", name+".txt")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the words have changed; look at the picture, then run with -update\n--- got\n%s--- want\n%s", got, want)
	}
}

// TestSameTwice: the same report gives the same bytes, so that pictures can be
// kept under version control.
func TestSameTwice(t *testing.T) {
	r := looks()[1].report
	for _, f := range []Format{PNG, SVG} {
		if !bytes.Equal(drawn(t, f, DefaultSize, r, mapOf(r)), drawn(t, f, DefaultSize, r, mapOf(r))) {
			t.Errorf("two %s of one report differ", f)
		}
	}
}

// TestPNG: the picture decodes, has the wanted size (2.54 cm to the inch), and
// shows the limit's line from edge to edge of the panel, well above the middle.
func TestPNG(t *testing.T) {
	r := looks()[0].report
	for _, s := range []Size{DefaultSize, {WidthCM: minWidthCM, HeightCM: minHeightCM}, {WidthCM: 30, HeightCM: 12}} {
		img, err := png.Decode(bytes.NewReader(drawn(t, PNG, s, r, mapOf(r))))
		if err != nil {
			t.Fatal(err)
		}
		wantX, wantY := s.WidthCM/2.54*dotsPerInch, s.HeightCM/2.54*dotsPerInch
		size := img.Bounds().Size()
		if math.Abs(float64(size.X)-wantX) > 1 || math.Abs(float64(size.Y)-wantY) > 1 {
			t.Errorf("%v cm became %v dots, want %.0f by %.0f", s, size, wantX, wantY)
		}
		dashed := 0
		for y := range size.Y / 2 {
			n := 0
			for x := range size.X {
				if color.NRGBAModel.Convert(img.At(x, y)) == limitInk {
					n++
				}
			}
			dashed = max(dashed, n)
		}
		if dashed < size.X/4 { // two thirds of the dashes are ink, the panel is half of the width or more
			t.Errorf("at %v cm the longest row of the limit's colour has %d of %d dots", s, dashed, size.X)
		}
	}
}

func TestDrawRefuses(t *testing.T) {
	r := looks()[0].report
	for _, s := range []Size{{}, {WidthCM: 18}, {WidthCM: 18, HeightCM: 1e9}, {WidthCM: math.NaN(), HeightCM: 12}, {WidthCM: -18, HeightCM: -12}} {
		if err := Draw(io.Discard, PNG, s, r, spectrum.Spectrogram{}); !errors.Is(err, ErrSize) {
			t.Errorf("size %v gives %v, want ErrSize", s, err)
		}
	}
	if err := Draw(io.Discard, "gif", DefaultSize, r, spectrum.Spectrogram{}); !errors.Is(err, ErrFormat) {
		t.Errorf("a gif gives %v, want ErrFormat", err)
	}
}

// TestAnyReport: whatever figures a report has, the picture is drawn and
// well-formed.
func TestAnyReport(t *testing.T) {
	codes := []string{"over-limit", "at-limit", "clean-below-limit", "spark-limited", "rich-in-cut", "four-stroking", "no-limit", "not-enough", "no-engine", ""}
	rapid.Check(t, func(rt *rapid.T) {
		r := report.Report{Clip: report.Clip{
			File: rapid.String().Draw(rt, "file"), DurationS: rapid.Float64Range(0, 20).Draw(rt, "duration"),
		}}
		r.Limits.MaxRPM = report.Speed(rapid.Float64Range(0, 18000).Draw(rt, "limit"))
		r.Verdict.Code = rapid.SampledFrom(codes).Draw(rt, "code")
		for i := range rapid.IntRange(0, 30).Draw(rt, "points") {
			r.Track = append(r.Track, report.Point{
				TimeS: float64(i) / 10, RPM: report.Speed(rapid.Float64Range(-5000, 18000).Draw(rt, "rpm")),
				SDRPM: rapid.Float64Range(0, 9000).Draw(rt, "sd"), FiresEveryRev: rapid.IntRange(0, 4).Draw(rt, "fires"),
			})
		}
		if rapid.Bool().Draw(rt, "top end") {
			r.TopEnd = &report.TopEnd{SustainedRPM: report.Speed(rapid.Float64Range(1, 18000).Draw(rt, "held")), ToS: r.Clip.DurationS}
		}
		var m spectrum.Spectrogram
		if rapid.Bool().Draw(rt, "map") {
			m = mapOf(r)
		}
		var b bytes.Buffer
		if err := Draw(&b, SVG, DefaultSize, r, m); err != nil {
			rt.Fatal(err)
		}
		if got := words(t, b.Bytes()); len(got) == 0 || got[0] != headline(r) {
			rt.Fatalf("the picture is not titled %q: %q", headline(r), got)
		}
	})
}

// TestHeadline: a danger is in the headline even without a top speed, and no other
// code has the same words.
func TestHeadline(t *testing.T) {
	for code, want := range map[string]string{
		"over-limit": "Over the limit", "at-limit": "At the limit", "no-engine": "No engine heard",
		"not-enough": "Not enough to judge", "below-limit": "Below the limit", "unheard-of": "Not enough to judge",
	} {
		r := report.Report{Verdict: report.Verdict{Code: code}}
		if got := headline(r); got != want {
			t.Errorf("%s without a top end is titled %q, want %q", code, got, want)
		}
		r.TopEnd, r.Limits.MaxRPM = &report.TopEnd{SustainedRPM: 13842}, 13500
		if got := headline(r); !strings.HasPrefix(got, want) || code != "no-engine" && !strings.HasSuffix(got, ": top speed 13,840, limit 13,500 rpm") {
			t.Errorf("%s is titled %q", code, got)
		}
	}
}

func TestGather(t *testing.T) {
	r := passOf(12640, 13500, rich)
	runs := trackRuns(r.Track)
	if len(runs) != 2 {
		t.Fatalf("a track with one gap has %d runs, want 2", len(runs))
	}
	if end, start := runs[0][len(runs[0])-1].t, runs[1][0].t; end > 8.5 || start < 8.8 {
		t.Errorf("the gap from 8.5 s to 8.8 s is drawn from %v to %v", end, start)
	}
	// The coverage band (95 %) reaches two standard deviations to either side.
	if p := runs[0][10]; math.Abs(p.high-p.low-4*30) > 1e-9 {
		t.Errorf("a reading with sd 30 has a band of %v, want 120", p.high-p.low)
	}

	var long []report.Point
	for i := range 40 * maxPoints {
		long = append(long, report.Point{TimeS: float64(i), RPM: report.Speed(9000 + i%2*100), SDRPM: 5, FiresEveryRev: 2})
	}
	runs = trackRuns(long)
	if len(runs) != 1 || len(runs[0]) > maxPoints {
		t.Fatalf("%d points became %d runs, the first of %d; want one of at most %d", len(long), len(runs), len(runs[0]), maxPoints)
	}
	if p := runs[0][3]; p.rpm != 9050 || p.low != 8990 || p.high != 9110 || p.fires != 2 {
		t.Errorf("readings of 9000 and 9100, sd 5, firing every 2nd, became %+v", p)
	}
}

func TestStretches(t *testing.T) {
	r := passOf(12640, 13500, rich)
	var got []firingSegment
	for _, s := range firingSegments(trackRuns(r.Track), halfStep(r.Track)) {
		s.run = nil
		got = append(got, s)
	}
	want := []firingSegment{{from: 2.4, to: 3.4, fires: 1}, {from: 3.4, to: 4.4, fires: 3}, {from: 4.6, to: 7, fires: 2}}
	if len(got) != len(want) {
		t.Fatalf("stretches %+v, want %+v", got, want)
	}
	for i, w := range want {
		g := got[i]
		if g.fires != w.fires || math.Abs(g.from-w.from) > 0.011 || math.Abs(g.to-w.to) > 0.011 {
			t.Errorf("stretch %d is %+v, want %+v within half a hop", i, g, w)
		}
	}
}

// TestLook writes the pictures to the folder that LOOK names, to be looked at.
func TestLook(t *testing.T) {
	folder := os.Getenv("LOOK")
	if folder == "" {
		t.Skip("LOOK names no folder to write the pictures to")
	}
	for n := 2; n <= 3; n++ {
		name := fmt.Sprintf("side-by-side-%d.png", n)
		if err := os.WriteFile(filepath.Join(folder, name), drawnSideBySide(t, PNG, sideBySide(n)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, l := range looks() {
		for _, s := range []Size{DefaultSize, {WidthCM: minWidthCM, HeightCM: minHeightCM}} {
			name := fmt.Sprintf("%s-%.0f.png", l.name, s.WidthCM)
			if err := os.WriteFile(filepath.Join(folder, name), drawn(t, PNG, s, l.report, mapOf(l.report)), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func BenchmarkDraw(b *testing.B) {
	r := looks()[1].report
	m := mapOf(r)
	for _, f := range []Format{PNG, SVG} {
		b.Run(string(f), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				drawn(b, f, DefaultSize, r, m)
			}
		})
	}
}

func ExampleDraw() {
	var file bytes.Buffer
	r := report.Report{Clip: report.Clip{File: "silence.wav", DurationS: 3}, Verdict: report.Verdict{Code: "no-engine"}}
	if err := Draw(&file, SVG, DefaultSize, r, spectrum.Spectrogram{}); err != nil {
		fmt.Println(err)
	}
	fmt.Println(strings.Contains(file.String(), "No engine heard"))
	// Output: true
}

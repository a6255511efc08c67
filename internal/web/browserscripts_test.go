package web

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"math"
	"testing"

	"topnote/internal/engine"

	wavfile "github.com/go-audio/wav"
)

// The parts of the scripts that only compute, in a browser, where they run.

// moduleCall imports a module and gives what a function of it comes to.
func moduleCall[T any](b tab, module, expression string) T {
	b.t.Helper()
	return eval[T](b, fmt.Sprintf(`import("/static/%s").then((m) => %s)`, module, expression))
}

func TestScripts(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 800, 600)
	b.visit("/air")
	t.Run("wav", func(t *testing.T) { wavOfScript(t, b) })
	t.Run("units", func(t *testing.T) { unitsOfScript(t, b) })
	t.Run("align", func(t *testing.T) { alignOfScript(t, b) })
	t.Run("words", func(t *testing.T) { wordsOfScript(t, b) })
	t.Run("trace", func(t *testing.T) { traceOfScript(t, b) })
	t.Run("louder", func(t *testing.T) {
		if got := moduleCall[float64](b, "decode.js", `m.louder([[0.1, -0.1], [0.3, -0.3], [0.2, 0.2]])[0]`); got != 0.3 {
			t.Errorf("the channel that begins with %g was taken for the loudest", got)
		}
	})
}

// wavOfScript reads what the page writes with another reader.
func wavOfScript(t *testing.T, b tab) {
	text := moduleCall[string](b, "wav.js", `btoa(String.fromCharCode(...new Uint8Array(m.wavBytes([new Float32Array([0, 0.5, -0.5]), new Float32Array([1, -1, 2, -2])], 44100))))`)
	file, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	d := wavfile.NewDecoder(bytes.NewReader(file))
	sound, err := d.FullPCMBuffer()
	if err != nil {
		t.Fatal(err)
	}
	if d.SampleRate != 44100 || d.BitDepth != 16 || d.NumChans != 1 {
		t.Errorf("it is %d Hz, %d bits, %d channels", d.SampleRate, d.BitDepth, d.NumChans)
	}
	if got, want := fmt.Sprint(sound.Data), "[0 16384 -16384 32767 -32768 32767 -32768]"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// Sources: the definitions of the foot (0.3048 m) and of the Fahrenheit scale;
// the conventional inch of mercury, 33.86389 hPa (NIST SP 811).
func unitsOfScript(t *testing.T, b tab) {
	for _, tt := range []struct{ quantity, text, to, want string }{
		{"temp", "20", "us", "68"}, {"temp", "-40", "us", "-40"}, {"temp", "68", "metric", "20"},
		{"height", "850", "us", "2789"}, {"height", "2789", "metric", "850"},
		{"pressure", "1013.25", "us", "29.92"}, {"pressure", "29.92", "metric", "1013.2"},
		{"temp", "", "us", ""}, {"temp", "88F", "metric", "88F"}, {"temp", "warm", "us", "warm"}, {"temp", "20,5", "us", "68.9"},
	} {
		got := moduleCall[string](b, "units.js", fmt.Sprintf(`m.convert(%q, %q, %q)`, tt.quantity, tt.text, tt.to))
		if got != tt.want {
			t.Errorf("%s %q to %s: got %q, want %q", tt.quantity, tt.text, tt.to, got, tt.want)
		}
	}
}

func alignOfScript(t *testing.T, b tab) {
	const passes = `[{opens: 2.5, duration: 10}, {opens: 4, duration: 9}]`
	for _, tt := range []struct {
		expression string
		want       []float64
	}{
		{`m.openings(` + passes + `)`, []float64{2.5, 4}},
		{`m.span(` + passes + `)`, []float64{-4, 7.5}},
		{`m.openings([{opens: 2.5}, {opens: null}])`, []float64{0, 0}},
		{`[m.within(-1, {duration: 5}), m.within(3, {duration: 5}), m.within(6, {duration: 5})]`, []float64{0, 3, 5}},
		{`[0, 0.031, 0.03, 5, -5].map((t) => m.readingAt({times: [0, 0.02, 0.04, 0.06]}, t))`, []float64{0, 2, 1, -1, -1}},
		{`[m.readingAt({times: []}, 1)]`, []float64{-1}},
	} {
		got := moduleCall[[]float64](b, "align.js", tt.expression)
		for i := range tt.want {
			if len(got) != len(tt.want) || math.Abs(got[i]-tt.want[i]) > 1e-9 {
				t.Errorf("%s: got %v, want %v", tt.expression, got, tt.want)
				break
			}
		}
	}
}

// Speeds are rounded as everywhere else: by engine.FormatTens.
func wordsOfScript(t *testing.T, b tab) {
	for _, rpm := range []float64{0, 4, 9.4, 994, 995, 2804.9, 12926.9, 1234567} {
		if got, want := moduleCall[string](b, "words.js", fmt.Sprintf(`m.tens(%g)`, rpm)), engine.FormatTens(rpm); got != want {
			t.Errorf("%g: got %s, want %s", rpm, got, want)
		}
	}
	for expression, want := range map[string]string{
		`m.seconds(3.14159)`: "3.1 s", `m.seconds(-0.01)`: "0.0 s", `m.seconds(-2.26)`: "-2.3 s",
		`m.firing(1, 2)`: "firing every turn", `m.firing(3, 2)`: "four-stroking, every 3rd turn", `m.firing(2, 4)`: "firing every 2nd cycle", `m.firing(0, 2)`: "",
		`m.sentence({says: "it is empty", do: "send another"})`: "It is empty; send another.",
	} {
		if got := moduleCall[string](b, "words.js", expression); got != want {
			t.Errorf("%s: got %q, want %q", expression, got, want)
		}
	}
}

func traceOfScript(t *testing.T, b tab) {
	for expression, want := range map[string]string{
		`m.ticks(0, 14000, 5).join()`:  "0,5000,10000",
		`m.ticks(-2.4, 8.4, 6).join()`: "-2,0,2,4,6,8",
		// A gap in the readings, by time or by one that was not told, ends a run.
		`JSON.stringify(m.runs({times: [0, 0.02, 0.04, 0.06, 0.5], rpm: [1, 2, 0, 4, 5]}))`: "[[0,1],[3],[4]]",
		// What is left out hides neither the highest nor the lowest.
		`m.decimate([0, 1, 2, 3, 4, 5], [5, 9, 1, 4, 4, 4], 3).join()`: "1,2,3",
	} {
		if got := moduleCall[string](b, "trace.js", expression); got != want {
			t.Errorf("%s: got %s, want %s", expression, got, want)
		}
	}
}

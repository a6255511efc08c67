package measure_test

import (
	"flag"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/quality"
	"topnote/internal/race"
	"topnote/internal/report"
	"topnote/internal/synth"
)

var updateDamage = flag.Bool("update-damage", false, "write the table of damage in docs/recording.md anew")

// recordingDoc has a table of what TestDamage measures.
var recordingDoc = filepath.Join(docs, "recording.md")

// damaged is a way to spoil a pass, and what is to come of it.
type damaged struct {
	what  string
	do    func(*synth.Scene)
	code  quality.Code // "": no problem is to be found
	wider bool         // it harms the held speed, whose deviation must grow; the others do not make it less exact
}

func damages() []damaged {
	beside := func(k synth.Kind, below engine.Decibel) func(*synth.Scene) {
		return func(s *synth.Scene) { s.Backgrounds = []synth.Background{{Kind: k, Below: below}} }
	}
	peak := func(level engine.Decibel) func(*synth.Scene) {
		return func(s *synth.Scene) { s.Phone.Peak = level }
	}
	call := synth.Telephone()
	call.AGC = nil
	return []damaged{
		{"none", func(*synth.Scene) {}, "", false},
		{"pink noise, 6 dB softer than the engine", beside(synth.Pink, 6), quality.Noise, false},
		{"pink noise, as loud", beside(synth.Pink, 0), quality.Noise, true},
		{"another engine, 6 dB softer", beside(synth.SecondEngine, 6), quality.MoreThanOneEngine, false},
		{"16 steps of 65,536 used", peak(-72), quality.TooQuiet, false},
		{"clipped by 12 dB", peak(12), quality.Clipping, false},
		{"wind, 12 dB louder", beside(synth.Wind, -12), quality.Wind, false},
		{"hum of 50 Hz, 6 dB softer", beside(synth.Hum50, 6), quality.Hum, false},
		{"call, 300 to 3400 Hz", func(s *synth.Scene) { s.Phone, s.Rate = call, 8000 }, quality.NarrowBand, false},
	}
}

// TestDamage: each damage done to one pass is named, and the held speed, with a larger
// uncertainty where it is harmed, is within what it claims of the true one; -v prints
// the table in docs/recording.md.
func TestDamage(t *testing.T) {
	const begin, end = "<!-- written by: go test -run Damage ./internal/measure -update-damage -->\n", "<!-- end of the table -->"
	var b strings.Builder
	b.WriteString("| damage | named | held, rpm | idle, rpm | four-stroking |\n| --- | --- | --- | --- | --- |\n")
	sample := synth.Samples()[slices.IndexFunc(synth.Samples(), func(s synth.Sample) bool { return s.Name == "mixed" })]
	plain := math.NaN()
	all := damages()
	if race.Enabled {
		all = all[:2] // the detector sees the same in every damage
	}
	for _, d := range all {
		r, truth := spoilt(t, sample, d)
		codes := problems(r)
		if d.code != "" && !slices.Contains(codes, string(d.code)) || d.code == "" && len(codes) > 0 {
			t.Errorf("%s: named %v, want %q", d.what, codes, d.code)
		}
		if r.TopEnd == nil {
			t.Fatalf("%s: no full throttle", d.what)
		}
		sd := r.TopEnd.SDRPM
		if d.code == "" {
			plain = sd
		}
		if d.wider && sd <= plain {
			t.Errorf("%s: a deviation of %.1f rpm, %.1f without damage", d.what, sd, plain)
		}
		const deviations = 3 // one draw of each: 1 in 370 is farther off
		if off := math.Abs(float64(r.TopEnd.SustainedRPM) - truth); off > deviations*sd {
			t.Errorf("%s: held %.0f rpm, give or take %.0f; the truth is %.0f", d.what, float64(r.TopEnd.SustainedRPM), 2*sd, truth)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %.0f ± %.0f %% |\n", d.what, quoteAll(codes),
			plusMinus(r.TopEnd.SustainedRPM, r.TopEnd.SDRPM), idleOf(r), 100*r.TopEnd.FourStrokingShare, 200*r.TopEnd.FourStrokingSD)
	}
	t.Logf("\n%s", b.String())
	head, _, tail := blockOf(t, recordingDoc, begin, end)
	if *updateDamage {
		writeFile(t, recordingDoc, []byte(head+b.String()+tail))
	}
}

// spoilt measures a damaged sample, and gives the highest speed that it truly
// held for half a second.
func spoilt(t *testing.T, sample synth.Sample, d damaged) (report.Report, float64) {
	t.Helper()
	s := sample.Scene
	d.do(&s)
	run := s.Run()
	const step, half = 0.02, 25 // s, and steps in half a second
	var held, speeds = 0.0, []float64{}
	for at := engine.Seconds(0); at < run.Length; at += step {
		speeds = append(speeds, float64(run.SpeedAt(at)))
		if len(speeds) >= half {
			held = max(held, slices.Min(speeds[len(speeds)-half:]))
		}
	}
	return measureScene(t, s, synth.Limits{Max: 13500}).Report, held
}

func quoteAll(codes []string) string {
	if len(codes) == 0 {
		return "-"
	}
	return "`" + strings.Join(codes, "`, `") + "`"
}

func idleOf(r report.Report) string {
	if r.Idle == nil {
		return "not told"
	}
	return plusMinus(r.Idle.RPM, r.Idle.SDRPM)
}

func plusMinus(speed report.Speed, sd float64) string {
	return fmt.Sprintf("%.0f ± %.0f", float64(speed), 2*sd)
}

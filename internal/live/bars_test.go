package live_test

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/needle"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// shared is where recordings and made passes with hand-read or known truth lie beside
// a checkout. They are not part of the project.
const shared = "../../../shared"

var (
	trials = flag.Int("trials", 0, "so many passes drawn at random that TestBars listens to as well")
	passes = flag.Bool("passes", false, "TestBars also listens to the made passes beside the checkout")
)

// The bars that the readings are held to.
const (
	latest    = 0.35  // s from the instant of a reading to the sound that it is told from
	within    = 0.05  // of speed: right
	mostWrong = 0.015 // of those told
	mostTwice = 0.001 // of those told: on a simple multiple
	leastTold = 0.92  // of the frames with an engine after the first half second
	mostFalse = 0.01  // of the time without an engine
)

// bars counts readings against the truth.
type bars struct {
	frames, told, right, twice int
	covered                    int // within two standard deviations and 0.5 % of the truth
	late                       float64
}

// count counts what was heard of a sound whose speed is known at each hop; 0: not known.
func (b *bars) count(speed []engine.RPM, all []needle.Reading) {
	const firstHeard = 25 // hops: half a second
	for i, r := range all {
		b.late = max(b.late, float64(r.Heard-r.At))
		if i < firstHeard || i >= len(speed) || speed[i] == 0 {
			continue
		}
		b.frames++
		if !r.Speed.Told() {
			continue
		}
		b.told++
		want := speed[i]
		if math.Abs(float64(r.Speed-want)) <= float64(2*r.SD+0.005*want) {
			b.covered++
		}
		switch off := float64(r.Speed / want); {
		case math.Abs(off-1) <= within:
			b.right++
		case slices.ContainsFunc([]float64{1. / 4, 1. / 3, 1. / 2, 2. / 3, 1.5, 2, 3, 4}, func(m float64) bool { return math.Abs(off/m-1) <= within }):
			b.twice++
		}
	}
}

func share(part, whole int) float64 { return float64(part) / float64(max(whole, 1)) }

func (b bars) String() string {
	return fmt.Sprintf("%6d frames: %.1f %% told, of these %.2f %% within 5 %%, %.2f %% on a multiple, %.1f %% within two standard deviations; at most %.3f s late",
		b.frames, 100*share(b.told, b.frames), 100*share(b.right, b.told), 100*share(b.twice, b.told), 100*share(b.covered, b.told), b.late)
}

// hold holds the figures of real recordings and samples to the bars.
func (b bars) hold(t *testing.T, name string) {
	t.Helper()
	if b.frames == 0 || share(b.told, b.frames) < leastTold || 1-share(b.right, b.told) > mostWrong || share(b.twice, b.told) > mostTwice {
		t.Errorf("%s: %v", name, b)
	}
}

// TestBars prints how late and how sure the readings are. The figures of docs/live.md
// are its output.
func TestBars(t *testing.T) {
	if race.Enabled {
		t.Skip("listens to many clips; TestStop has the goroutines")
	}
	samples := listenToSamples(t)
	t.Logf("samples      %v", samples)
	samples.hold(t, "samples")
	late := samples.late
	if *trials > 0 {
		drawn := listenToTrials(t, *trials)
		t.Logf("drawn passes %v", drawn)
		late = max(late, drawn.late)
	}
	if *passes {
		made := listenToTruth(t, "passes/truth.json", "passes")
		t.Logf("made passes  %v", made)
		made.hold(t, "made passes")
		late = max(late, made.late)
	}
	field := listenToTruth(t, "recordings/truth.json", "recordings/engine")
	t.Logf("recordings   %v", field)
	field.hold(t, "recordings")
	if late = max(late, field.late); late > latest {
		t.Errorf("a reading is %.3f s late", late)
	}
	told, all := listenToNone(t)
	t.Logf("no engine    a speed in %.2f %% of %d readings", 100*share(told, all), all)
	if share(told, all) > mostFalse {
		t.Errorf("without an engine a speed is told in %d of %d readings", told, all)
	}
}

// listenTo listens to a file.
func listenTo(t *testing.T, path string, machine engine.Machine) []needle.Reading {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var all []needle.Reading
	err = live.Listen(t.Context(), f, live.Default(machine), live.Handler{Reading: func(r needle.Reading) error { all = append(all, r); return nil }})
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return all
}

func listenToSamples(t *testing.T) (b bars) {
	for _, s := range synth.Samples() {
		machine := saw(s.Limits.Max)
		if s.Scene.Run() != nil {
			machine.Spec = s.Scene.Engine
		}
		b.count(speedsOf(s.Scene.Run(), s.Scene.Profile.Length), listenTo(t, filepath.Join("..", "..", "samples", s.Name+".wav"), machine))
	}
	return b
}

// speedsOf gives the speed at each hop.
func speedsOf(r *synth.Run, length engine.Seconds) (all []engine.RPM) {
	for at := engine.Seconds(0); r != nil && at < length; at += 0.02 { // nil: no engine runs
		all = append(all, r.SpeedAt(at))
	}
	return all
}

// listenToTrials listens to passes as TestMachines of package measure draws them, but
// for their codecs.
func listenToTrials(t *testing.T, n int) (b bars) {
	for i := range n {
		family := synth.Saws
		if i%5 < 3 {
			family = synth.SlowMachines
		}
		tr := synth.DrawTrial(uint64(i), family)
		file := filepath.Join(t.TempDir(), "trial.wav")
		if err := clip.WriteWAVFile(file, tr.Render().Channels[0], tr.Scene.Rate); err != nil {
			t.Fatal(err)
		}
		b.count(speedsOf(tr.Truth().Run, tr.Scene.Profile.Length), listenTo(t, file, saw(tr.Limits.Max)))
	}
	return b
}

// listenToTruth listens to the recordings of a truth.json, or skips the test.
func listenToTruth(t *testing.T, file, folder string) (b bars) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(shared, file))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the recordings are not beside this checkout (../shared); the figures of them were not checked")
	}
	var clips []struct {
		Name  string     `json:"clip"`
		Limit engine.RPM `json:"limit"`
		Speed []struct {
			At  []float64    `json:"t_s"`
			RPM []engine.RPM `json:"rpm"`
		} `json:"speed"`
	}
	if err == nil {
		err = json.Unmarshal(data, &clips)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range clips {
		all := listenTo(t, filepath.Join(shared, folder, c.Name), saw(c.Limit))
		speed := make([]engine.RPM, len(all))
		for _, s := range c.Speed {
			for i, at := range s.At {
				if k := int(math.Round(at / 0.02)); k < len(all) {
					speed[k] = s.RPM[i]
				}
			}
		}
		b.count(speed, all)
	}
	return b
}

// listenToNone listens to recordings without an engine.
func listenToNone(t *testing.T) (told, all int) {
	files, err := filepath.Glob(filepath.Join(shared, "recordings", "no-engine", "*"))
	if err != nil || len(files) == 0 {
		t.Fatal("no recordings without an engine", err)
	}
	for _, f := range files {
		for _, r := range listenTo(t, f, saw(0)) {
			all++
			if r.Speed.Told() {
				told++
			}
		}
	}
	return told, all
}

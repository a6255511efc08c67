package measure_test

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/parallel"
	"topnote/internal/quality"
	"topnote/internal/report"
	"topnote/internal/synth"
	"topnote/internal/vary"
)

var sensitivity = flag.String("sensitivity", "", "numbers that TestSensitivity moves: a regular expression for names such as Pass.HeldBand; . for all")

// numbers are all options between the bytes and the verdict.
type numbers struct {
	Clip clip.Options
	measure.Options
}

func defaultNumbers() *numbers { return &numbers{clip.Default(), measure.Defaults()} }

// kept is a clip, and what was heard in it with the numbers as they are.
type kept struct {
	heard
	file     []byte
	sound    *clip.Sound
	followed measure.Followed
	assessed quality.Assessment
}

// keepTrial renders a pass for many measurements.
func keepTrial(n numbered, folder string) (kept, error) {
	k := kept{heard: heard{name: n.name, trial: n.trial, truth: n.trial.Truth()}}
	path, err := recordTrial(n.trial, filepath.Join(folder, n.name))
	if err != nil {
		return k, err
	}
	k.file, err = os.ReadFile(path)
	return k, err
}

// keepFiles reads the samples and, where they are beside this checkout, the field
// recordings, which are held against a limit that is none of theirs. Nothing is said
// of what is true of them.
func keepFiles(t *testing.T) (all []kept) {
	t.Helper()
	limits := map[string]synth.Limits{}
	for _, s := range synth.Samples() {
		limits[filepath.Join(samples, s.Name+".wav")] = s.Limits
	}
	recordings, err := filepath.Glob("../../../shared/recordings/*/*.wav")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range recordings {
		limits[path] = synth.Limits{Max: 13_000}
	}
	for _, path := range slices.Sorted(maps.Keys(limits)) {
		k := kept{heard: heard{name: filepath.Base(path), truth: synth.TrialTruth{Held: engine.RPM(math.NaN())}}}
		k.trial.Limits = limits[path]
		if k.file, err = os.ReadFile(path); err != nil {
			t.Fatal(err)
		}
		all = append(all, k)
	}
	return all
}

// stages are the options that act in each stage of the work, before the last.
var stages = [][]string{{"Clip"}, {"Mains", "Noise", "Shaft", "Firing"}, {"Quality"}}

// hear measures a clip again from the stage in which the named number acts; the name ""
// measures from the first, and keeps what is heard.
func (k *kept) hear(t *testing.T, o *numbers, name string) (h heard, err error) {
	now, query := *k, queryOf(k.trial.Limits)
	stage := slices.IndexFunc(stages, func(s []string) bool { return slices.Contains(s, strings.Split(name, ".")[0]) })
	switch {
	case name == "":
		stage = 0
	case stage < 0:
		stage = len(stages)
	}
	if stage == 0 {
		stream, err := clip.NewStream(t.Context(), bytes.NewReader(k.file), k.name, o.Clip)
		if err == nil {
			now.sound, err = stream.Collect()
		}
		if err != nil {
			now.refused = err.Error()
			if name == "" {
				k.refused = now.refused
			}
			return now.heard, nil
		}
		if k.sound != nil && slices.Equal(samplesOf(t, now.sound), samplesOf(t, k.sound)) {
			stage = 2
		}
	}
	if now.sound == nil { // refused with the numbers as they are
		return now.heard, nil
	}
	if stage <= 1 {
		if now.followed, err = measure.Follow(t.Context(), now.sound, query, o.Options); err != nil {
			return h, err
		}
	}
	if stage <= 2 {
		if now.assessed, err = measure.Assess(now.followed, t.Context(), now.sound, query, o.Options); err != nil {
			return h, err
		}
	}
	if name == "" {
		*k = now
	}
	m, err := measure.Judge(now.followed, now.sound, query, now.assessed, o.Options)
	now.known = m.Report
	return now.heard, err
}

func samplesOf(t *testing.T, s *clip.Sound) []float32 {
	t.Helper()
	x, err := s.Samples.Segment(nil, 0, s.Samples.Len())
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// hearAgain measures all clips with other numbers. The error is that of a number that
// makes no sense, such as a share over 1.
func hearAgain(t *testing.T, all []kept, o *numbers, name string) ([]heard, error) {
	out := make([]heard, len(all))
	group, _ := parallel.WithContext(t.Context())
	for i := range all {
		group.Go(func() (err error) {
			out[i], err = all[i].hear(t, o, name)
			return err
		})
	}
	return out, group.Wait()
}

// told is what a user is told of a clip: the verdict with its findings, the problems,
// speeds to half a percent and shares to a tenth.
func (h heard) told() string {
	var b strings.Builder
	r := h.known
	fmt.Fprintln(&b, h.refused, r.Verdict.Code)
	for _, f := range r.Verdict.Findings {
		fmt.Fprintln(&b, f.Code)
	}
	for _, p := range r.Quality.Problems {
		fmt.Fprintln(&b, p.Code)
	}
	return b.String()
}

// otherwise reports whether something else is told: the verdict, its findings, the
// problems, the top speed or the idle by more than half a percent, or the share of
// four-stroking by more than a tenth.
func (h heard) otherwise(base heard) bool {
	r, s := h.known, base.known
	apart := func(a, b report.Speed) bool { return math.Abs(float64(a-b)) > 0.005*float64(b) }
	switch {
	case h.told() != base.told(), (r.TopEnd == nil) != (s.TopEnd == nil), (r.Idle == nil) != (s.Idle == nil):
		return true
	case r.TopEnd != nil && (apart(r.TopEnd.SustainedRPM, s.TopEnd.SustainedRPM) || math.Abs(r.TopEnd.FourStrokingShare-s.TopEnd.FourStrokingShare) > 0.1):
		return true
	}
	return r.Idle != nil && apart(r.Idle.RPM, s.Idle.RPM)
}

// moved counts what some numbers make of all clips.
type moved struct{ otherwise, speed, idle, warned, abstains, unsafe int }

func countMoved(all, base []heard) (m moved) {
	for i, h := range all {
		if h.otherwise(base[i]) {
			m.otherwise++
		}
		wrong := h.wrongs()
		for what, n := range map[string]*int{"speed": &m.speed, "idle": &m.idle, "warned under the limit": &m.warned, "abstains": &m.abstains,
			"OVER CALLED SAFE": &m.unsafe, "CLEAN CALLED SAFE": &m.unsafe, "TOLD TO CLOSE H": &m.unsafe} {
			if slices.Contains(wrong, what) {
				*n++
			}
		}
	}
	return m
}

func (m moved) row(name, by string) string {
	return fmt.Sprintf("| `%s` | %s | %d | %d | %d | %d | %d | %d |", name, by, m.otherwise, m.speed, m.idle, m.warned, m.abstains, m.unsafe)
}

// TestSensitivity moves one number at a time of all packages, over made passes, the
// samples and the field recordings (with -only, over those passes alone), and prints the
// table of docs/sensitivity.md.
func TestSensitivity(t *testing.T) {
	if *sensitivity == "" {
		t.Skip("takes up to some seconds for each number; run with -sensitivity . to print the table of docs/sensitivity.md")
	}
	names := regexp.MustCompile(*sensitivity)
	var all []kept
	if *only == "" {
		all = keepFiles(t)
	}
	folder := t.TempDir()
	for _, n := range chosen(drawTrials(*runs, firstSeed["tune"])) {
		k, err := keepTrial(n, folder)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, k)
	}
	base, err := hearAgain(t, all, defaultNumbers(), "")
	if err != nil {
		t.Fatal(err)
	}
	t.Log(countMoved(base, base).row(fmt.Sprintf("as it is, %d clips", len(all)), ""))
	for _, name := range vary.Names(defaultNumbers()) {
		if !names.MatchString(name) {
			continue
		}
		for _, by := range []float64{0.7, 1.4} {
			o := defaultNumbers()
			vary.Move(o, name, by)
			if h, err := hearAgain(t, all, o, name); err == nil {
				t.Log(countMoved(h, base).row(name, fmt.Sprintf("x %.1f", by)))
			}
		}
	}
}

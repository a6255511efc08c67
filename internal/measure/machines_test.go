package measure_test

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/race"
	"topnote/internal/report"
	"topnote/internal/synth"
	"topnote/internal/verdict"
)

var (
	part = flag.String("part", "tune", "seeds that TestMachines measures: tune, to look at while the program is changed, or unseen, to be run once at the end")
	only = flag.String("only", "", "names, such as p0030,x0004, of those passes of -runs that TestMachines measures alone")
	keep = flag.String("keep", "", "folder into which TestMachines writes its passes and their truth.json, instead of measuring them")
)

// firstSeed is where the seeds of each part begin. Nobody looks at single
// passes of the unseen part: what was tuned on the other is tried there.
var firstSeed = map[string]uint64{"tune": 0, "unseen": 1 << 32}

// numbered is a trial and how it is called in what is printed.
type numbered struct {
	name  string
	trial synth.Trial
}

// drawTrials draws n passes, three in five of them of slow machines, and after
// them half as many that are over their limit and tampered with, four in five of
// them of saws: those slowed down are the most like another, richer engine.
func drawTrials(n int, first uint64) []numbered {
	const in, slow, slowTampered = 5, 3, 1
	family := func(i, slow int) synth.Family {
		if i%in < slow {
			return synth.SlowMachines
		}
		return synth.Saws
	}
	var out []numbered
	for i := range n {
		seed := first + uint64(i)
		out = append(out, numbered{fmt.Sprintf("p%04d", seed), synth.DrawTrial(seed, family(i, slow))})
	}
	for i := range (n + 1) / 2 {
		seed := first + uint64(i)
		out = append(out, numbered{fmt.Sprintf("x%04d", seed), synth.DrawTampered(seed, family(i, slowTampered))})
	}
	return out
}

// heard is what the program made of one pass.
type heard struct {
	name           string
	trial          synth.Trial
	truth          synth.TrialTruth
	known, unknown report.Report // with the limit entered, and without any
	refused        string        // why the file was not read; "" where it was
}

// hear measures a pass twice, one that is tampered with only once.
func hear(n numbered, folder string) (heard, error) {
	h := heard{name: n.name, trial: n.trial, truth: n.trial.Truth()}
	file, err := recordTrial(n.trial, filepath.Join(folder, n.name))
	if err != nil {
		return h, err
	}
	err = h.measure(file, n.trial.Limits.Max, &h.known)
	if err == nil && n.trial.Tampering == nil {
		err = h.measure(file, 0, &h.unknown)
	}
	return h, errors.Join(err, os.Remove(file))
}

// measure measures a file with a limit, 0 for none.
func (h *heard) measure(file string, limit engine.RPM, r *report.Report) error {
	m, err := measure.File(file, queryOf(synth.Limits{Max: limit}))
	var refused *clip.Problem
	if errors.As(err, &refused) {
		h.refused = refused.Says
		return nil
	}
	if err != nil {
		return err
	}
	*r = m.Report
	m.Close()
	return nil
}

// hearAll measures passes, as many at once as there are processors.
func hearAll(t *testing.T, all []numbered) []heard {
	t.Helper()
	folder := t.TempDir()
	out, errs := make([]heard, len(all)), make([]error, len(all))
	next := make(chan int)
	var work sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		work.Go(func() {
			for i := range next {
				out[i], errs[i] = hear(all[i], folder)
			}
		})
	}
	for i := range all {
		next <- i
	}
	close(next)
	work.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
	return out
}

// abstains reports whether nothing was said of the top speed.
func (h heard) abstains() bool {
	return h.refused != "" || slices.Contains([]string{string(verdict.NotEnough), string(verdict.NoEngine)}, h.known.Verdict.Code)
}

// safe reports whether the verdict says that nothing is in danger.
func (h heard) safe() bool {
	return h.refused == "" && verdict.Code(h.known.Verdict.Code).Danger() == 0
}

// closesH reports whether the advice is to make the engine leaner.
func (h heard) closesH() bool {
	return slices.ContainsFunc(h.known.Verdict.Advice, func(s string) bool { return strings.Contains(s, "lose the H screw") })
}

// TestAdviceToLean holds closesH to a pass that is to be leaned, and to one
// that is not: otherwise it might miss what it looks for.
func TestAdviceToLean(t *testing.T) {
	if race.Enabled {
		t.Skip("measures the samples; TestSamples does, too")
	}
	for _, s := range synth.Samples() {
		var h heard
		if err := h.measure(filepath.Join(samples, s.Name+".wav"), s.Limits.Max, &h.known); err != nil {
			t.Fatal(err)
		}
		if lean := s.Wants == string(verdict.RichInCut); h.closesH() != lean {
			t.Errorf("%s, %s: told to close H: %v, want %v", s.Name, h.known.Verdict.Code, h.closesH(), lean)
		}
	}
}

// evaluation reports whether -runs was given: otherwise it is the daily work, in
// which a few passes do.
func evaluation() bool {
	f := flag.Lookup("runs")
	return f.Value.String() != f.DefValue
}

// TestMachines draws passes of saws and of slower machines through up to two
// damages, and prints how often what is told of them is right: go test -run
// TestMachines -v -runs 300. Asserted is what must never be: an engine over its
// limit called safe, or one that runs clean.
func TestMachines(t *testing.T) {
	t.Parallel()
	first, known := firstSeed[*part]
	if !known {
		t.Fatalf("-part %s: tune or unseen", *part)
	}
	n := race.Fewer(6, 1) // in the daily work
	if evaluation() {
		n = *runs
	}
	all := drawTrials(n, first)
	if names := strings.Split(*only, ","); *only != "" {
		all = slices.DeleteFunc(all, func(x numbered) bool { return !slices.Contains(names, x.name) })
	}
	if *keep != "" {
		keepTrials(t, *keep, all)
		return
	}
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Log("ffmpeg is not installed: no pass goes through a codec")
	}
	var plain, tampered []heard
	for _, h := range hearAll(t, all) {
		if h.trial.Tampering == nil {
			plain = append(plain, h)
		} else {
			tampered = append(tampered, h)
		}
	}
	t.Logf("%d passes of part %s\n%s\n%s", len(plain), *part, barsOf(plain), barTable(plain))
	t.Logf("%d passes over their limit, tampered with\n%s", len(tampered), tamperTable(tampered))
	t.Logf("claimed against found\n%s", trustTable(plain))
	t.Logf("wrong\n%s", wrongList(slices.Concat(plain, tampered)))
	for _, h := range plain {
		if h.safe() && (h.over() || h.trial.Tune.Lean()) {
			t.Errorf("%s: %s is called safe", h.name, h.line())
		}
	}
	for _, h := range tampered {
		if h.safe() || h.closesH() {
			t.Errorf("%s: %s is called safe", h.name, h.line())
		}
	}
}

package measure_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"topnote/internal/race"
	"topnote/internal/synth"
)

// TestBeside draws passes of which something else that sounds can be mistaken for the
// engine: voices, animals, alarms, music, motors, hum. It prints and asserts what
// TestMachines does; go test -run 'TestBeside$' -v -runs 300.
func TestBeside(t *testing.T) {
	t.Parallel()
	n := race.Fewer(4, 1) // in the daily work
	if evaluation() {
		n = *runs
	}
	var all []numbered
	for i := range n {
		family := synth.SlowMachines
		if i%3 == 0 {
			family = synth.Saws
		}
		seed := firstSeed[*part] + uint64(i)
		all = append(all, numbered{fmt.Sprintf("b%04d", seed), synth.DrawBeside(seed, family)})
	}
	if all = chosen(all); *keep != "" {
		keepTrials(t, *keep, all)
		return
	}
	plain := hearAll(t, all)
	t.Logf("%d passes of part %s beside other sounds\n%s\n%s", len(plain), *part, barsOf(plain), barTable(plain))
	t.Logf("wrong\n%s", wrongList(plain))
	for _, h := range plain {
		if h.safe() && (h.over() || h.trial.Tune.Lean()) {
			t.Errorf("%s: %s is called safe", h.name, h.line())
		}
	}
}

// chosen gives the passes that -only names; all where it names none.
func chosen(all []numbered) []numbered {
	if *only == "" {
		return all
	}
	names := strings.Split(*only, ",")
	return slices.DeleteFunc(all, func(x numbered) bool { return !slices.Contains(names, x.name) })
}

// Lines of issue 14: how much of a clip is given a speed before it counts, and how
// many clips without an engine may be.
const (
	spoken      = 0.5 // s
	mostWithout = 1. / 320
)

// TestWithoutEngine draws places in which no engine sounds, but other things do, and
// prints how many are given a speed: go test -run 'TestWithoutEngine$' -v -runs 320.
// Asserted is that none is judged.
func TestWithoutEngine(t *testing.T) {
	t.Parallel()
	n := race.Fewer(8, 1) // in the daily work
	if evaluation() {
		n = *runs
	}
	var all []numbered
	for i := range n {
		seed := firstSeed[*part] + uint64(i)
		tr := synth.DrawWithoutEngine(seed)
		tr.Limits.Max = 9500
		all = append(all, numbered{fmt.Sprintf("n%04d", seed), tr})
	}
	if all = chosen(all); *keep != "" {
		keepTrials(t, *keep, all)
		return
	}
	count := map[string]*[2]ratio{}
	var wrong strings.Builder
	for _, h := range hearAll(t, all) {
		given, judged := h.toldFor() >= spoken, h.refused == "" && !h.abstains()
		for _, name := range append([]string{"all"}, h.trial.Damages...) {
			if count[name] == nil {
				count[name] = &[2]ratio{}
			}
			count[name][0].count(true, given)
			count[name][1].count(true, judged)
		}
		if given || judged {
			fmt.Fprintf(&wrong, "%s %v: a speed for %.2f s, %s\n", h.name, h.trial.Damages, h.toldFor(), h.known.Verdict.Code)
		}
		if judged {
			t.Errorf("%s, %v: %s", h.name, h.trial.Damages, h.known.Verdict.Code)
		}
	}
	var names []string
	for name := range count {
		names = append(names, name)
	}
	slices.Sort(names)
	var table strings.Builder
	for _, name := range names {
		fmt.Fprintf(&table, "%-20s %9s %9s\n", name, count[name][0], count[name][1])
	}
	held := "held"
	if all := count["all"]; all[0].share() > mostWithout {
		held = "NOT HELD"
	}
	t.Logf("without an engine: given a speed, judged; at most %.1f %%, 0: %s\n%s\n%s", 100*mostWithout, held, table.String(), wrong.String())
}

// TestTakenForEngine: places without an engine that were each given a speed for seconds
// before what they have in common was known.
func TestTakenForEngine(t *testing.T) {
	if race.Enabled {
		t.Skip("measures whole clips; TestWithoutEngine does, too")
	}
	var all []numbered
	for seed, name := range map[uint64]string{6566: "hum through noise suppression", 306: "shouts with lulls", 1243: "a song beside a siren"} {
		tr := synth.DrawWithoutEngine(seed)
		tr.Limits.Max = 9500
		all = append(all, numbered{name, tr})
	}
	for _, h := range hearAll(t, all) {
		if h.toldFor() > 0 {
			t.Errorf("%s %v: a speed for %.2f s", h.name, h.trial.Damages, h.toldFor())
		}
	}
}

// toldFor gives the time for which a speed is told.
func (h heard) toldFor() (long float64) {
	const hop = 0.02
	for _, p := range h.known.Track {
		if p.RPM > 0 {
			long += hop
		}
	}
	return long
}

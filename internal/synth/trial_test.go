package synth

import (
	"math"
	"slices"
	"testing"

	"topnote/internal/engine"
)

// TestTrialsAreWide draws many trials without their sound: every machine, tune,
// damage and kind of course comes, on both sides of the limit.
func TestTrialsAreWide(t *testing.T) {
	const draws = 300
	count := map[string]int{}
	for i := range uint64(draws) {
		family := []Family{Saws, SlowMachines}[i%2]
		tr := DrawTrial(i, family)
		x := tr.Truth()
		if tr.Family() != family {
			t.Fatalf("seed %d: a %s among %s", i, tr.Machine, family)
		}
		if slow := tr.Limits.Max < 10000; slow != (family == SlowMachines) {
			t.Fatalf("seed %d: %s with a limit of %v", i, tr.Machine, tr.Limits.Max)
		}
		if r := float64(x.Held / tr.Limits.Max); r < 0.85 || r > 1.15 {
			t.Fatalf("seed %d: held %v of %v", i, x.Held, tr.Limits.Max)
		}
		if x.Idle != 0 && (x.Idle < 2200 || x.Idle > 3600 || tr.Limits.Clutch < x.Idle) {
			t.Fatalf("seed %d: idle %v, clutch %v", i, x.Idle, tr.Limits.Clutch)
		}
		if len(tr.Damages) > 2 || tr.Tampering != nil {
			t.Fatalf("seed %d: damages %q", i, tr.Damages)
		}
		for _, name := range slices.Concat([]string{string(tr.Machine), string(tr.Tune)}, tr.Damages, x.marks()) {
			count[name]++
		}
		count[map[bool]string{true: "over", false: "under"}[x.Held > tr.Limits.Max]]++
	}
	want := []string{"over", "under", "no idle", "cut", "no cut", "several openings", "one opening", "settling at the end"}
	for _, f := range []Family{Saws, SlowMachines} {
		for _, k := range f.kinds() {
			want = append(want, string(k.what.kind))
		}
	}
	for _, d := range trialDamages() {
		want = append(want, d.name)
	}
	for _, k := range []TuneKind{CleanTune, RaggedLean, EverySecond, EveryThird, EveryFourth, Slipping, Mixture, Changing, RunsOfMiss, RandomMiss} {
		want = append(want, string(k))
	}
	for _, name := range want {
		if count[name] < draws/100 {
			t.Errorf("%s: %d of %d trials", name, count[name], draws)
		}
	}
}

// marks names what is found in a course.
func (x TrialTruth) marks() []string {
	count := map[string]int{}
	for _, s := range x.Run.Spans {
		count[s.Name]++
	}
	var out []string
	mark := func(when bool, yes, no string) {
		if when {
			out = append(out, yes)
		} else {
			out = append(out, no)
		}
	}
	mark(count[Idle]+count[ReturnToIdle] == 0, "no idle", "idle")
	mark(count[InCut] > 0, "cut", "no cut")
	mark(count[Rise] > 1, "several openings", "one opening")
	mark(x.Run.Spans[len(x.Run.Spans)-1].Name == Settling, "settling at the end", "settled")
	return out
}

// TestTrialTruth holds what the truth says of firing to the tune that was drawn.
func TestTrialTruth(t *testing.T) {
	every := map[TuneKind]int{CleanTune: 1, RaggedLean: 1, EverySecond: 2, EveryThird: 3, EveryFourth: 4}
	for i := range uint64(60) {
		tr := DrawTrial(i, SlowMachines)
		x := tr.Truth()
		if want := every[tr.Tune]; want > 0 && x.Every != want {
			t.Errorf("seed %d, %s: fires every %d", i, tr.Tune, x.Every)
		}
		if tr.Tune.Lean() && x.Four != 0 || every[tr.Tune] > 1 && x.Four != 1 || tr.Tune == Slipping && x.Four < 0.9 {
			t.Errorf("seed %d, %s: four-strokes for %.2f of the plateau", i, tr.Tune, x.Four)
		}
	}
}

func TestTamperedTrialsRunOverTheirLimit(t *testing.T) {
	names := map[string]int{}
	for i := range uint64(120) {
		tr := DrawTampered(i, []Family{Saws, SlowMachines}[i%2])
		if held := tr.Truth().Held; held <= tr.Limits.Max {
			t.Errorf("seed %d: held %v under %v", i, held, tr.Limits.Max)
		}
		if tr.Codec != NoCodec || len(tr.Damages) > 1 {
			t.Errorf("seed %d: tampered with, and then %q and %q", i, tr.Damages, tr.Codec)
		}
		names[tr.Tampering.Name]++
	}
	const kinds = 9
	if len(names) != kinds {
		t.Errorf("%d kinds of tampering, want %d: %v", len(names), kinds, names)
	}
}

func TestTrialsRender(t *testing.T) {
	a, b := DrawTrial(5, SlowMachines), DrawTrial(5, SlowMachines)
	x, y := a.Render(), b.Render()
	if len(x.Channels) != 1 || !slices.Equal(x.Channels[0], y.Channels[0]) {
		t.Error("one seed gave two sounds")
	}
	for i := range uint64(100) {
		if tr := DrawTampered(i, Saws); tr.Tampering.Rival != 0 {
			s := tr.Render()
			if len(s.Channels) != 2 || len(s.Channels[0]) != len(s.Channels[1]) || slices.Equal(s.Channels[0], s.Channels[1]) {
				t.Error("a second engine in one channel needs two channels that differ")
			}
			return
		}
	}
	t.Error("no trial with a second engine in one channel in 100")
}

// TestSustainedMedian compares the sliding median with one that is sorted for every
// window.
func TestSustainedMedian(t *testing.T) {
	r := DrawTrial(3, Saws).Scene.Run()
	const step, count = 5, 100 // moments; of half a second
	best := engine.RPM(0)
	for from := 0; from+step*(count-1) < len(r.OperatingPoints); from += step {
		var v []engine.RPM
		for k := range count {
			v = append(v, r.OperatingPoints[from+k*step].Speed)
		}
		slices.Sort(v)
		best = max(best, v[count/2])
	}
	if got := r.SustainedMedian(SustainedFor); math.Abs(float64(got-best)) > 1e-9 {
		t.Errorf("%v, want %v", got, best)
	}
}

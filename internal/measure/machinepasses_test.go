package measure_test

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// otherPasses is where passes of another generator lie beside a checkout. They
// are not part of the project.
var otherPasses = filepath.Join("..", "..", "..", "shared", "passes")

// TestOtherMachines prints the figures of TestMachines over passes that
// another generator made: the first of them in the daily work, all of them
// where -runs is given, whatever it says.
func TestOtherMachines(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile(filepath.Join(otherPasses, "truth.json"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the passes of another generator are not beside this checkout (../shared/passes)")
	}
	if err != nil {
		t.Fatal(err)
	}
	var truths []keptTruth
	if err := json.Unmarshal(data, &truths); err != nil {
		t.Fatal(err)
	}
	if daily := race.Fewer(15, 1); !evaluation() {
		truths = truths[:min(len(truths), daily)]
	}
	all := make([]heard, len(truths))
	for i, k := range truths {
		all[i] = hearKept(t, k)
	}
	t.Logf("%d passes of another generator\n%s\n%s", len(all), barsOf(all), barTable(all))
	t.Logf("claimed against found\n%s", trustTable(all))
	t.Logf("wrong\n%s", wrongList(all))
	for _, h := range all {
		if h.safe() && (h.over() || h.trial.Tune.Lean()) {
			t.Errorf("%s: %s is called safe", h.name, h.line())
		}
	}
}

// hearKept measures a pass of the folder with its limit and without. Of its
// truth there is no more than the file says.
func hearKept(t *testing.T, k keptTruth) heard {
	t.Helper()
	h := heard{name: k.Clip, truth: k.truth(), trial: synth.Trial{
		Machine: synth.MachineKind(k.Machine), Damages: k.Damage, Limits: synth.Limits{Max: engine.RPM(k.Limit)},
	}}
	if len(k.Firing) > 0 && k.Firing[0].Every == 1 { // the plateau comes first
		h.trial.Tune = synth.CleanTune
	}
	file := filepath.Join(otherPasses, k.Clip)
	if err := errors.Join(h.measure(file, engine.RPM(k.Limit), &h.known), h.measure(file, 0, &h.unknown)); err != nil {
		t.Fatal(err)
	}
	return h
}

// truth makes a run of the speeds that the file has. The firing of its cycles is
// not in it.
func (k keptTruth) truth() synth.TrialTruth {
	r := &synth.Run{Engine: engine.TwoStrokeSingle, Spans: []synth.Span{{Name: "not known"}}}
	for _, s := range k.Speed {
		for i, at := range s.At {
			for len(r.OperatingPoints) < int(at/float64(synth.Step)) {
				last := engine.RPM(0)
				if n := len(r.OperatingPoints); n > 0 && i > 0 {
					last = r.OperatingPoints[n-1].Speed
				}
				r.OperatingPoints = append(r.OperatingPoints, synth.OperatingPoint{Speed: last})
			}
			r.OperatingPoints = append(r.OperatingPoints, synth.OperatingPoint{Speed: engine.RPM(s.RPM[i])})
		}
	}
	r.Length = engine.Seconds(len(r.OperatingPoints)) * synth.Step
	return synth.TrialTruth{Run: r, Held: engine.RPM(k.HeldRPM), Idle: engine.RPM(k.IdleRPM), Four: -1}
}

package measure_test

import (
	"math"
	"path/filepath"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// TestOpenings: each opening of the throttle has a row of its own, with the top speed
// that it had, and a clip with one opening none.
func TestOpenings(t *testing.T) {
	if race.Enabled {
		t.Skip("measures a long clip; nothing in it runs side by side")
	}
	tops := [3]engine.RPM{12200, 12500, 12800}
	s := synth.Tuning(tops[:]...)
	file := filepath.Join(t.TempDir(), "three.wav")
	if err := clip.WriteWAVFile(file, s.Render().Samples, s.Rate); err != nil {
		t.Fatal(err)
	}
	m, err := measure.File(file, engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}})
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	rows := m.Report.Openings
	if len(rows) != len(tops) {
		t.Fatalf("%d rows, want %d: %+v", len(rows), len(tops), rows)
	}
	run := s.Run()
	for i, o := range rows {
		at := 2 + 7.2*float64(i) // the throttle opens
		if math.Abs(o.FromS-at) > 0.3 || math.Abs(o.ToS-(at+4.2)) > 0.6 {
			t.Errorf("row %d is from %.1f to %.1f s, want %.1f to %.1f", i, o.FromS, o.ToS, at, at+4.2)
		}
		if o.Code != "four-stroking" {
			t.Errorf("row %d is %s", i, o.Code)
		}
		var most float64
		for at := o.FromS; at < o.ToS; at += 0.02 {
			most = max(most, float64(run.SpeedAt(engine.Seconds(at))))
		}
		if off := float64(o.SustainedRPM)/most - 1; off > 0.002 || off < -0.02 {
			t.Errorf("row %d holds %.0f rpm, the engine reached %.0f", i, o.SustainedRPM, most)
		}
	}
	one, err := measure.File("../../samples/mixed.wav", engine.Machine{Spec: engine.TwoStrokeSingle})
	if err != nil {
		t.Fatal(err)
	}
	defer one.Close()
	if n := len(one.Report.Openings); n != 0 {
		t.Errorf("a clip with one opening has %d rows", n)
	}
}

package measure_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// shared is the folder of what the tests of several packages read.
var shared = filepath.Join("..", "..", "testdata")

// sampleTruth is what is known of a sample: testdata/samples.json.
type sampleTruth struct {
	Name     string
	MaxRPM   engine.RPM `json:"max_rpm"`
	IdleRPM  engine.RPM `json:"idle_rpm"`
	Clutch   engine.RPM `json:"clutch_rpm"`
	Kind     engine.Kind
	Governor engine.Answer
	Verdict  string
	Run      *struct {
		SustainedRPM float64 `json:"sustained_rpm"`
		MeanIdleRPM  float64 `json:"mean_idle_rpm"`
		CleanShare   float64 `json:"clean_share"`
		Cuts         bool
	}
}

func (s sampleTruth) query() engine.Machine {
	return engine.Machine{
		Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: s.MaxRPM, Idle: s.IdleRPM, Clutch: s.Clutch},
		Build: engine.Build{Kind: s.Kind, Governor: s.Governor},
	}
}

func sampleTruths(t *testing.T) (all []sampleTruth) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(shared, "samples.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	if len(all) < 12 {
		t.Fatalf("only %d samples in the file of their truth", len(all))
	}
	return all
}

// golden holds a report without its track to testdata/golden, or writes it
// there. The name of the file is left out, so that other packages can compare
// what they made of the same sound.
func golden(t *testing.T, name string, r report.Report) {
	t.Helper()
	r.Track, r.Clip.File = nil, ""
	var line, got bytes.Buffer
	if err := report.WriteJSON(&line, r); err != nil {
		t.Fatal(err)
	}
	if err := json.Indent(&got, line.Bytes(), "", "  "); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(shared, "golden", name+".json")
	if *update {
		if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if runtime.GOARCH != "amd64" {
		t.Logf("%s is not compared: other processors round fused products differently", path)
		return
	}
	if !bytes.Equal(got.Bytes(), want) {
		t.Errorf("%s has changed; read the difference, then go test -run TestSamples ./internal/measure -update\n--- got\n%s\n--- want\n%s", path, got.Bytes(), want)
	}
}

package synth_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/synth"
)

// truthFile is the truth of the samples for the tests of other packages.
const truthFile = "../../testdata/samples.json"

// sampleTruth is what is known of one sample; testdata/README.md describes it.
type sampleTruth struct {
	Name      string   `json:"name"`
	MaxRPM    float64  `json:"max_rpm"`
	IdleRPM   float64  `json:"idle_rpm"`
	ClutchRPM float64  `json:"clutch_rpm"`
	Kind      string   `json:"kind,omitempty"`
	Governor  string   `json:"governor,omitempty"`
	Verdict   string   `json:"verdict"`
	Run       *runTrue `json:"run"` // null: no engine
}

type runTrue struct {
	SustainedRPM float64 `json:"sustained_rpm"`
	MeanIdleRPM  float64 `json:"mean_idle_rpm"`
	FullFromS    float64 `json:"full_throttle_from_s"`
	FullToS      float64 `json:"full_throttle_to_s"`
	CleanShare   float64 `json:"clean_share"` // of the turns at full throttle
	Cuts         bool    `json:"cuts"`        // the coil cuts sparks there
}

func truthOf(s synth.Sample) sampleTruth {
	t := sampleTruth{
		Name: s.Name, MaxRPM: float64(s.Limits.Max), IdleRPM: float64(s.Limits.Idle), ClutchRPM: float64(s.Limits.Clutch), Verdict: s.Wants,
		Kind: string(s.Build.Kind), Governor: string(s.Build.Governor),
	}
	r := s.Scene.Run()
	if r == nil {
		return t
	}
	idle, _ := r.Span(synth.Idle)
	top, _ := r.Span(synth.FullThrottle)
	t.Run = &runTrue{
		SustainedRPM: engine.Round(r.Sustained(synth.SustainedFor), 10), MeanIdleRPM: engine.Round(r.Mean(idle.From, idle.To), 10),
		FullFromS: engine.Round(top.From, 1000), FullToS: engine.Round(top.To, 1000),
		CleanShare: engine.Round(r.Share(1, top.From, top.To), 1000), Cuts: r.CutAt((top.From+top.To)/2, 0.3),
	}
	return t
}

// TestSamplesTruthFile: testdata/samples.json is the truth of the samples, to
// the rounding of other processors' products.
func TestSamplesTruthFile(t *testing.T) {
	t.Parallel()
	var want []sampleTruth
	for _, s := range synth.Samples() {
		want = append(want, truthOf(s))
	}
	if *update {
		text, err := json.MarshalIndent(want, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(truthFile, append(text, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(truthFile)
	if err != nil {
		t.Fatal(err)
	}
	var got []sampleTruth
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&got); err != nil {
		t.Fatal(err)
	}
	if len(got) != len(want) {
		t.Fatalf("%d samples in the file, %d made; run with -update", len(got), len(want))
	}
	for i, g := range got {
		w := want[i]
		if (g.Run == nil) != (w.Run == nil) || g.Run != nil && !g.Run.near(*w.Run) {
			t.Errorf("%s: the file says %+v, it is %+v; run with -update", w.Name, g.Run, w.Run)
		}
		g.Run, w.Run = nil, nil
		if g != w {
			t.Errorf("the file says %+v, it is %+v; run with -update", g, w)
		}
	}
}

func (r runTrue) near(o runTrue) bool {
	const rpm, s, share = 0.2, 0.002, 0.002 // two steps of what they are rounded to
	return math.Abs(r.SustainedRPM-o.SustainedRPM) <= rpm && math.Abs(r.MeanIdleRPM-o.MeanIdleRPM) <= rpm &&
		math.Abs(r.FullFromS-o.FullFromS) <= s && math.Abs(r.FullToS-o.FullToS) <= s &&
		math.Abs(r.CleanShare-o.CleanShare) <= share && r.Cuts == o.Cuts
}

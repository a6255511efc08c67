package report_test

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/quality"
	"topnote/internal/report"
	"topnote/internal/shaft"
	"topnote/internal/verdict"
)

var update = flag.Bool("update", false, "write the golden files anew")

// madeParts gives what a short pass of a two-stroke over its limit is made of. The
// figures are made up; tests change what they are about.
func madeParts() report.Parts {
	return report.Parts{
		Clip: clip.Info{
			File:     "bench 3.wav",
			SHA256:   "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
			Duration: 6.25, SampleRate: 44100, Channels: 2, Used: "channel 2 of 2",
			Container: "wav", Codec: "pcm_s16", ClippedPct: 0.1234, LowEdge: 40, HighEdge: 11999.6,
			Remarks: []string{"The file was cut off; what it holds was read."},
		},
		Query: engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500, Idle: 2800}},
		Track: shaft.Track{Hop: 0.01, Points: []shaft.Point{
			{At: 0.01, Confidence: 0.2},
			{At: 0.02, Speed: 2765.4321, SD: 21.06, Confidence: 0.98765, Fires: 1},
			{At: 0.03, Speed: 13842.26, SD: 28.04, Confidence: 0.9, Fires: 2},
			{At: 0.04, Speed: 13900.04, SD: 30, Confidence: 1, Fires: 0},
		}},
		Pass: pass.Summary{
			Phases: []pass.Phase{
				{Kind: pass.Idle, From: 0, To: 2.0504, Median: 2765, Min: 2690, Max: 2830, FourStroking: 0.3},
				{Kind: pass.FullThrottle, From: 2.4, To: 6.25, Median: 13800, Min: 13510, Max: 13910, FourStroking: 0.1239},
			},
			TopEnd: &pass.TopEnd{
				Sustained: pass.Figure{Speed: 13842.26, SD: 28.04}, Peak: pass.Figure{Speed: 13910, SD: 41.7},
				From: 2.4, To: 6.25, HeldFrom: 4.1, HeldTo: 4.6, FourStroking: 0.1239, FourStrokingSD: 0.0823, Clean: 0.8411, MostlyFour: 0.031, Firing: [5]float64{0.035, 0.8411, 0.0929, 0.031, 0},
				Overshoot: pass.Figure{Speed: 130, SD: 30}, Stutter: &pass.Stutter{Belief: 0.4, Rate: 15.3, Depth: 0.2},
				Drift: &pass.Rate{PerSecond: 84.44, SD: 20},
			},
			Idle: &pass.IdleFigures{
				From: 0, To: 2.0504, Speed: pass.Figure{Speed: 2765, SD: 21}, Spread: 61.23, SpreadSD: 8, Highest: pass.Figure{Speed: 2840, SD: 25},
				Hunting: &pass.Oscillation{Period: 0.8, PeriodSD: 0.02, Depth: 140, DepthSD: 22, Periodicity: 0.7}, AboveEntered: -35, UnderClutch: &pass.Figure{Speed: 860, SD: 25},
			},
			Rise: &pass.RiseFigures{From: 2.0504, To: 2.4, Time: pass.Duration{Time: 0.31, SD: 0.03}, Idle: 2765, Top: 13842, Sag: pass.Figure{Speed: 260, SD: 60}, SagAt: 2.1},
			Cut:  &pass.CutFigures{From: 4.8, To: 5.4, Speed: pass.Figure{Speed: 9800, SD: 40}, Pulled: 0.292, Clean: 0.97, Recovery: &pass.Duration{Time: 0.4, SD: 0.05}},
			Fall: &pass.FallFigures{From: 5.9, To: 6.2, Time: pass.Duration{Time: 0.3, SD: 0.05}, Idle: 2765, HangFor: pass.Duration{Time: 0.9, SD: 0.1}, HangSpeed: 3900},
		},
		Quality: quality.Quality{
			SNR:      decibel(21.27),
			Problems: []quality.Problem{{Code: quality.Wind, Says: "Wind blows over the microphone.", Do: "Shield the phone and record again."}},
		},
		Verdict: verdict.Verdict{
			Code:        verdict.OverLimit,
			Says:        "Held 13,842 rpm at full throttle from 2.4 s to 6.2 s, 342 rpm over the limit of 13,500 rpm: stop, this can seize the engine.",
			Advice:      []string{"Richen the H screw by an eighth of a turn before the next full throttle.", "If it comes back, look for a leak or a starved fuel supply before turning any screw again."},
			Cautions:    []string{"The maker's handbook and local rules come first."},
			Alternative: 6921,
			Findings:    []verdict.Finding{{Code: "hangs", Says: "On the way back it hung at 3,900 rpm for 0.9 s.", Causes: []string{"L screw too lean", "air leak"}, Advice: "Open the L screw by an eighth of a turn, then set the idle again."}},
		},
	}
}

func number(v float64) *float64 { return &v }

func decibel(v engine.Decibel) *engine.Decibel { return &v }

// bare gives the parts of a clip without an engine.
func bare() report.Parts {
	return report.Parts{
		Clip: clip.Info{
			File: "-", SHA256: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
			Duration: 1, SampleRate: 8000, Channels: 1, Container: "wav", Codec: "pcm_u8",
		},
		Query:   engine.Machine{Spec: engine.Spec{Strokes: 4, Cylinders: 2}},
		Verdict: verdict.Verdict{Code: verdict.NoEngine, Says: "No engine was heard.", Cautions: []string{"Wear ear protection."}},
	}
}

// golden compares got with a file of testdata/golden, or rewrites it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s has changed; read the difference, then run with -update\n--- got\n%s\n--- want\n%s", name, got, want)
	}
}

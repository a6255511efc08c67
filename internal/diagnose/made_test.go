package diagnose

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/report"
)

// madeDay is a day of the made passes.
func madeDay(day int) time.Time {
	return time.Date(2026, 3, 1, 10, 30, 0, 0, time.FixedZone("", 3600)).AddDate(0, 0, day)
}

// madePass is a usual pass: 12,600 rpm, idle 2,800, H at 1.25 turns, four-stroking.
// index counts the passes from 0; its recording is one of its own.
func madePass(index, day int) book.Pass {
	name := fmt.Sprint("pass ", index)
	sum := sha256.Sum256([]byte(name))
	reading, err := air.ParseReading("temp=15 rh=60 altitude=200")
	if err != nil {
		panic(err)
	}
	h, l := book.Turns(1.25), book.Turns(1)
	return book.Pass{
		Number: int64(index + 1), Machine: "saw", Recorded: madeDay(day), Entered: madeDay(day).Add(time.Hour),
		Air: &reading, Screws: book.Screws{H: &h, L: &l}, Who: "Kim",
		Report: report.Report{
			Schema: report.Schema,
			Clip: report.Clip{
				File: name, SHA256: hex.EncodeToString(sum[:]), DurationS: 10, SampleRateHz: 48000, Channels: 1, Container: "wav", Codec: "pcm",
			},
			Engine: report.Engine{Strokes: 2, Cylinders: 1},
			Limits: report.Limits{MaxRPM: 13500, IdleRPM: 2800},
			Phases: []report.Phase{{Kind: "idle", ToS: 2, RPMMedian: 2800, RPMMin: 2750, RPMMax: 2850}},
			TopEnd: &report.TopEnd{
				SustainedRPM: 12600, SDRPM: 30, PeakRPM: 12680, FromS: 3, ToS: 6, FourStrokingShare: 0.9, CleanShare: 0.1,
			},
			Idle:    &report.Idle{RPM: 2800, SDRPM: 20, ToS: 2},
			Fall:    &report.Fall{TimeS: 0.9, SDS: 0.05, Back: true, IdleRPM: 2800},
			Quality: report.Quality{Problems: []report.Problem{}},
			Verdict: report.Verdict{
				Code: codeFourStroking, Says: "Safe side.", Advice: []string{"Leave it."},
				Cautions: []string{"The maker's handbook comes first."}, Findings: []report.Finding{},
			},
		},
	}
}

func madeMachine(name string) book.Machine {
	return book.Machine{
		Name: name, Engine: report.Engine{Strokes: 2, Cylinders: 1},
		Limits: report.Limits{MaxRPM: 13500, IdleRPM: 2800, ClutchRPM: 3700}, Notes: "bar of 40 cm",
	}
}

// wantRefused wants a problem of what was entered, in one line that says what is
// wrong and what to do.
func wantRefused(t *testing.T, err error, says string) {
	t.Helper()
	var problem *book.Problem
	switch {
	case !errors.As(err, &problem) || !errors.Is(err, book.ErrEntry):
		t.Errorf("error %v, want a problem of what was entered", err)
	case !strings.Contains(problem.Says, says) || problem.Do == "" || strings.Contains(problem.Error(), "\n"):
		t.Errorf("it says %q; %q, want %q", problem.Says, problem.Do, says)
	}
}

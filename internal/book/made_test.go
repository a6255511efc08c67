package book

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"topnote/internal/air"
	"topnote/internal/report"
)

// madeReport is the report of a usual pass; name makes its recording one of its
// own.
func madeReport(name string, top report.Speed) report.Report {
	sum := sha256.Sum256([]byte(name))
	return report.Report{
		Schema: report.Schema,
		Clip: report.Clip{
			File: name, SHA256: hex.EncodeToString(sum[:]), DurationS: 10, SampleRateHz: 48000, Channels: 1, Container: "wav", Codec: "pcm",
		},
		Engine: report.Engine{Strokes: 2, Cylinders: 1},
		Limits: report.Limits{MaxRPM: 13500, IdleRPM: 2800},
		Track: []report.Point{
			{TimeS: 0.1, RPM: 2800, SDRPM: 20, Confidence: 0.9, FiresEveryRev: 1},
			{TimeS: 0.12, SDRPM: 0},
			{TimeS: 0.14, RPM: top, SDRPM: 20, Confidence: 0.9, FiresEveryRev: 2},
		},
		Phases: []report.Phase{{Kind: "idle", ToS: 2, RPMMedian: 2800, RPMMin: 2750, RPMMax: 2850}},
		TopEnd: &report.TopEnd{
			SustainedRPM: top, SDRPM: 30, PeakRPM: top + 80, FromS: 3, ToS: 6, FourStrokingShare: 0.9, CleanShare: 0.1,
		},
		Idle:    &report.Idle{RPM: 2800, SDRPM: 20, ToS: 2},
		Fall:    &report.Fall{TimeS: 0.9, SDS: 0.05, Back: true, IdleRPM: 2800},
		Quality: report.Quality{Problems: []report.Problem{}},
		Verdict: report.Verdict{
			Code: "four-stroking", Says: "Safe side.", Advice: []string{"Leave it."},
			Cautions: []string{"The maker's handbook comes first."}, Findings: []report.Finding{},
		},
	}
}

// madeDay is a day of a made pass.
func madeDay(day int) time.Time {
	return time.Date(2026, 3, 1, 10, 30, 0, 0, time.FixedZone("", 3600)).AddDate(0, 0, day)
}

func madePass(machine, name string, day int, top report.Speed) Pass {
	reading, err := air.ParseReading("temp=15 rh=60 altitude=200")
	if err != nil {
		panic(err)
	}
	h, l := Turns(1.25), Turns(1)
	return Pass{
		Machine: machine, Recorded: madeDay(day), Entered: madeDay(day).Add(time.Hour), Report: madeReport(name, top),
		Air: &reading, Screws: Screws{H: &h, L: &l}, FilterNote: "new", FuelNote: "fresh, 1:50", Who: "Kim",
	}
}

func madeMachine(name string) Machine {
	return Machine{
		Name: name, Engine: report.Engine{Strokes: 2, Cylinders: 1},
		Limits: report.Limits{MaxRPM: 13500, IdleRPM: 2800, ClutchRPM: 3700}, Notes: "bar of 40 cm",
	}
}

// newBook makes a book in a folder of its own with one machine, "bench saw".
func newBook(t testing.TB) *Book {
	t.Helper()
	b, err := Create(filepath.Join(t.TempDir(), "book.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	b.clock = func() time.Time { return madeDay(100) }
	if err := b.AddMachine(madeMachine("bench saw")); err != nil {
		t.Fatal(err)
	}
	return b
}

// wantProblem wants a *Problem of a kind that says something and what to do, in
// one printable line.
func wantProblem(t *testing.T, err, kind error, says string) {
	t.Helper()
	var problem *Problem
	if !errors.As(err, &problem) || !errors.Is(err, kind) {
		t.Errorf("error %v, want a problem of kind %v", err, kind)
		return
	}
	if !strings.Contains(problem.Says, says) || problem.Do == "" {
		t.Errorf("it says %q; %q, want %q", problem.Says, problem.Do, says)
	}
	if strings.ContainsAny(problem.Error(), "\n\x1b") {
		t.Errorf("%q is more than a line of text", problem.Error())
	}
}

package book_test

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/report"
)

// Example stores a pass and reads it back.
func Example() {
	folder, err := os.MkdirTemp("", "book-*")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(folder)
	b, err := book.Create(filepath.Join(folder, "book.sqlite"))
	if err != nil {
		panic(err)
	}
	defer b.Close()

	saw := book.Machine{
		Name: "bench saw", Engine: report.Engine{Strokes: 2, Cylinders: 1}, Limits: report.Limits{MaxRPM: 13500},
	}
	if err := b.AddMachine(saw); err != nil {
		panic(err)
	}
	reading, err := air.ParseReading("temp=8 rh=80 altitude=120")
	if err != nil {
		panic(err)
	}
	h := book.Turns(1.25)
	pass := book.Pass{
		Machine: saw.Name, Recorded: time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC), Air: &reading, Screws: book.Screws{H: &h},
		Report: report.Report{ // as package measure gives it
			Schema: report.Schema,
			Clip:   report.Clip{File: "pass.wav", SHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"},
			Engine: saw.Engine, Limits: saw.Limits,
			TopEnd:  &report.TopEnd{SustainedRPM: 12640, SDRPM: 30, FourStrokingShare: 0.9, CleanShare: 0.1},
			Verdict: report.Verdict{Code: "four-stroking", Says: "Safe side."},
		},
	}
	number, err := b.AddPass(pass, false)
	if err != nil {
		panic(err)
	}
	passes, err := b.Passes("bench saw")
	if err != nil {
		panic(err)
	}
	fmt.Println(number, passes[0].Report.TopEnd.SustainedRPM, "rpm;", passes[0].Screws)
	_, err = b.AddPass(pass, false)
	fmt.Println(err)
	// Output:
	// 1 12,640 rpm; H 1 1/4 turns out
	// book: this recording is in the book already, as pass 1 of "bench saw" on 2026-03-02; to correct that entry, store it again with --again: the last entry counts, and the first one stays
}

package diagnose_test

import (
	"fmt"
	"strings"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/report"
)

// Example explains why a saw runs slower in summer than it did in winter.
func Example() {
	var passes []book.Pass // as Book.Passes gives them
	for i, day := range []struct {
		date time.Time
		air  string
		top  report.Speed
		four float64
	}{
		{time.Date(2026, 2, 8, 10, 0, 0, 0, time.UTC), "temp=3 rh=75 altitude=120", 12620, 0.85},
		{time.Date(2026, 6, 27, 10, 0, 0, 0, time.UTC), "temp=29 rh=55 altitude=120", 12090, 0.99},
	} {
		reading, err := air.ParseReading(day.air)
		if err != nil {
			panic(err)
		}
		h := book.Turns(1.25)
		passes = append(passes, book.Pass{
			Number: int64(i + 1), Machine: "bench saw", Recorded: day.date, Air: &reading, Screws: book.Screws{H: &h},
			Report: report.Report{
				Engine:  report.Engine{Strokes: 2, Cylinders: 1},
				TopEnd:  &report.TopEnd{SustainedRPM: day.top, SDRPM: 30, FourStrokingShare: day.four, CleanShare: 1 - day.four},
				Verdict: report.Verdict{Code: "four-stroking"},
			},
		})
	}
	e, err := diagnose.Why(passes, 2, 1, diagnose.Default())
	if err != nil {
		panic(err)
	}
	likely := e.Causes[0].Cause
	fmt.Println(likely, strings.HasPrefix(e.Answer, "The air and the screws explain it"))
	// Output: air true
}

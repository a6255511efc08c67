package book

import (
	"fmt"
	"testing"

	"topnote/internal/report"
)

// BenchmarkAddPass stores passes of 10 s, each on the disk when it returns.
func BenchmarkAddPass(b *testing.B) {
	k := newBook(b)
	i := 0
	for b.Loop() {
		p := madePass("bench saw", fmt.Sprint(i), 1, 12500)
		for t := range 500 {
			p.Report.Track = append(p.Report.Track, report.Point{TimeS: 1 + float64(t)/50, RPM: 12500, SDRPM: 30, Confidence: 0.9})
		}
		if _, err := k.AddPass(p, false); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

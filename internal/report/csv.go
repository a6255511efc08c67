package report

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
)

// csvHeader names the columns as the JSON does.
const csvHeader = "t_s,rpm,sd_rpm,confidence,fires_every_rev\r\n"

// WriteCSV writes the track as a table with a header line: one line for each
// point, a decimal point, and an empty cell where nothing could be told. No
// cell ever needs quotes. It returns the first error of w.
//
// Source of the form (commas, CRLF, header): RFC 4180.
func WriteCSV(w io.Writer, r Report) error {
	out := bufio.NewWriter(w)
	out.WriteString(csvHeader)
	for _, p := range r.Track {
		out.Write(appendRow(out.AvailableBuffer(), p))
	}
	if err := out.Flush(); err != nil { // carries the first error of all
		return fmt.Errorf("report: writing CSV: %w", err)
	}
	return nil
}

func appendRow(b []byte, p Point) []byte {
	b = appendNumber(b, p.TimeS)
	b = append(b, ',')
	if p.RPM.Told() {
		b = appendNumber(b, float64(p.RPM))
		b = append(b, ',')
		b = appendNumber(b, p.SDRPM)
	} else {
		b = append(b, ',')
	}
	b = append(b, ',')
	b = appendNumber(b, p.Confidence)
	b = append(b, ',')
	if p.FiresEveryRev > 0 {
		b = strconv.AppendInt(b, int64(p.FiresEveryRev), 10)
	}
	return append(b, "\r\n"...)
}

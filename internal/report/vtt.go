package report

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// captionInterval is how often a caption may change, in seconds: four times a
// second can still be read.
const captionInterval = 0.25

// WriteVTT writes r as captions for a video of the clip: the speed with its
// uncertainty, and under it how the engine fires and whether it is over the limit. A
// caption lasts until its words change; where less than half of the readings have a
// speed there is none. It returns the first error of w.
//
// Source of the form: WebVTT, section Syntax.
func WriteVTT(w io.Writer, r Report) error {
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, "WEBVTT\n\nNOTE %s\n\nNOTE %s\n", noteText(r.Clip.File), noteText(r.Verdict.Says))
	for _, c := range captions(r) {
		fmt.Fprintf(out, "\n%s --> %s\n%s\n", timestamp(c.from), timestamp(c.to), cueText(c.words))
	}
	if err := out.Flush(); err != nil { // carries the first error of all
		return fmt.Errorf("report: writing captions: %w", err)
	}
	return nil
}

// caption is one caption; times in ms.
type caption struct {
	from, to int64
	words    string // lines, none of them empty
}

// captions gives the captions of a clip, in order of time, none overlapping.
func captions(r Report) []caption {
	var all []caption
	end := int64(math.Round(r.Clip.DurationS * 1000))
	rest := r.Track
	for from := int64(0); from < end && len(rest) > 0; from += captionInterval * 1000 {
		to := min(end, from+captionInterval*1000)
		n := 0
		for n < len(rest) && rest[n].TimeS*1000 < float64(to) {
			n++
		}
		words := captionWords(rest[:n], r)
		rest = rest[n:]
		last := len(all) - 1
		switch {
		case words == "":
		case last >= 0 && all[last].to == from && all[last].words == words:
			all[last].to = to
		default:
			all = append(all, caption{from, to, words})
		}
	}
	return all
}

// captionWords gives the words for a few successive readings; "" where less than half
// of them are told.
func captionWords(points []Point, r Report) string {
	var speeds, sds []float64
	var votes [maxFiringPeriod + 1]int
	for _, p := range points {
		if p.RPM.Told() {
			speeds = append(speeds, float64(p.RPM))
			sds = append(sds, p.SDRPM)
			votes[p.FiresEveryRev]++
		}
	}
	if len(speeds) == 0 || 2*len(speeds) < len(points) {
		return ""
	}
	speed, sd := dsp.Median(speeds), dsp.Median(sds)
	says := joinParts(saysFires(slices.Index(votes[:], slices.Max(votes[:])), r.Engine))
	if limit := float64(Query(r.Engine, r.Limits).Ceiling()); limit > 0 && speed-engine.CoverageFactor*sd > limit {
		says = joinParts(says, fmt.Sprintf(capOver, r.Limits.MaxRPM))
	}
	return strings.TrimSuffix(fmt.Sprintf(capSpeed, engine.FormatTens(speed), engine.FormatHalfWidth(sd))+"\n"+says, "\n")
}

// timestamp writes a time in ms, with hours, which the format always allows.
func timestamp(ms int64) string {
	const second, minute, hour = 1000, 60 * 1000, 60 * 60 * 1000
	return fmt.Sprintf("%02d:%02d:%02d.%03d", ms/hour, ms%hour/minute, ms%minute/second, ms%second)
}

// cueText escapes what would be markup within a caption.
func cueText(words string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(words)
}

// noteText fits text into one line of a comment, where an arrow would begin a
// caption.
func noteText(text string) string {
	line := strings.Join(strings.Fields(Printable(text)), " ")
	return strings.ReplaceAll(line, "-->", "-- >")
}

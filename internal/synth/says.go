package synth

import (
	"fmt"
	"strings"

	"topnote/internal/engine"
)

// readmeHead is the text above the table of samples.
const readmeHead = `# Samples

Passes made by ` + "`topnote sample`" + ` from scratch; no engine ran for them. The machine is
an invented saw of the 50 cc class. Its limits, to be entered with the sample:
maximum %s rpm, idle %s rpm, clutch engagement %s rpm. For example

    go run ./cmd/topnote measure samples/over.wav --limit %.0f --idle %.0f --clutch %.0f

What is known of each, exactly:

- sustained: highest mean shaft speed over 0.5 s, rpm;
- four-stroking: share of the turns at full throttle without load, and in the
  cut, that belong to a pattern of firing every 2nd turn or rarer. "Cuts" stands
  where the coil leaves out sparks;
- idle: mean shaft speed before the throttle opens, rpm.

`

// readmeFoot is the text below it.
const readmeFoot = `
This file and the sound beside it are written by a test
(` + "`go test ./internal/synth -run Samples -update`" + `) and checked by it, so neither can drift
from the code in internal/synth/samples.go.
`

// SamplesReadme gives the page that stands beside the samples: what they are
// and a table of their truth, in Markdown.
func SamplesReadme(samples []Sample) string {
	var b strings.Builder
	l := sampleLimits()
	fmt.Fprintf(&b, readmeHead, engine.FormatTens(l.Max), engine.FormatTens(l.Idle), engine.FormatTens(l.Clutch), l.Max, l.Idle, l.Clutch)
	b.WriteString("| file | what it is | sustained | four-stroking | in the cut | idle | verdict wanted | and besides |\n")
	b.WriteString("| --- | --- | --- | --- | --- | --- | --- | --- |\n")
	for _, s := range samples {
		b.WriteString(s.row())
	}
	b.WriteString(readmeFoot)
	return b.String()
}

// row gives one line of the table.
func (s Sample) row() string {
	cells := []string{s.Name + ".wav", s.Says, "-", "-", "-", "-", "`" + s.Wants + "`", s.Also}
	if r := s.Scene.Run(); r != nil {
		cells[2] = engine.FormatTens(r.Sustained(SustainedFor))
		cells[3], cells[4] = r.saysFourStroking(FullThrottle), r.saysFourStroking(InCut)
		if idle, ok := r.Span(Idle); ok {
			cells[5] = engine.FormatTens(r.Mean(idle.From, idle.To))
		}
	}
	return "| " + strings.Join(cells, " | ") + " |\n"
}

// saysFourStroking tells the firing over all spans of a name.
func (r *Run) saysFourStroking(name string) string {
	cycles, burbling, cut := 0, 0, false
	for _, s := range r.Spans {
		if s.Name != name {
			continue
		}
		for _, b := range r.Cycles {
			if b.At >= s.From && b.At < s.To {
				cycles++
				cut = cut || b.Cut
				if b.Every > 1 {
					burbling++
				}
			}
		}
	}
	switch {
	case cycles == 0:
		return "-"
	case cut:
		return "cuts"
	}
	return fmt.Sprintf("%.0f %%", 100*float64(burbling)/float64(cycles))
}

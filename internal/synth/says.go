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

// readmeMachines is the text above the table of the other machines.
const readmeMachines = `
Other machines, each with its own limits, and with the sound of what its shaft drives:
a fan, a belt, gear teeth, knives, cutting line. Enter what machine it is as well:

%s
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
	var machines []Sample
	for _, s := range samples {
		if s.Build.Kind != engine.KindUnknown {
			machines = append(machines, s)
			continue
		}
		b.WriteString(tableRow(s.cells()))
	}
	if len(machines) > 0 {
		var commands strings.Builder
		for _, s := range machines {
			commands.WriteString("    " + s.Command() + "\n")
		}
		fmt.Fprintf(&b, readmeMachines, commands.String())
		b.WriteString("| file | what it is | maximum, idle, clutch | sustained | four-stroking | in the cut | idle | verdict wanted |\n")
		b.WriteString("| --- | --- | --- | --- | --- | --- | --- | --- |\n")
	}
	for _, s := range machines {
		c := s.cells()
		b.WriteString(tableRow(append([]string{c[0], c[1], s.Limits.says()}, c[2:len(c)-1]...)))
	}
	b.WriteString(readmeFoot)
	return b.String()
}

// Command gives the command line that measures the sample as what it is.
func (s Sample) Command() string {
	line := fmt.Sprintf("go run ./cmd/topnote measure samples/%s.wav --limit %.0f --idle %.0f", s.Name, s.Limits.Max, s.Limits.Idle)
	if s.Limits.Clutch > 0 {
		line += fmt.Sprintf(" --clutch %.0f", s.Limits.Clutch)
	}
	if s.Build.Kind != engine.KindUnknown {
		line += " --kind " + string(s.Build.Kind)
	}
	if s.Build.Governor != "" {
		line += " --governor " + string(s.Build.Governor)
	}
	return line
}

// says gives the three speeds, a dash for one that the machine does not have.
func (l Limits) says() string {
	text := engine.FormatTens(l.Max) + ", " + engine.FormatTens(l.Idle)
	if l.Clutch == 0 {
		return text + ", -"
	}
	return text + ", " + engine.FormatTens(l.Clutch)
}

func tableRow(cells []string) string { return "| " + strings.Join(cells, " | ") + " |\n" }

// cells gives what is known of the sample, for one line of the table.
func (s Sample) cells() []string {
	cells := []string{s.Name + ".wav", s.Says, "-", "-", "-", "-", "`" + s.Wants + "`", s.Also}
	if r := s.Scene.Run(); r != nil {
		cells[2] = engine.FormatTens(r.Sustained(SustainedFor))
		cells[3], cells[4] = r.saysFourStroking(FullThrottle), r.saysFourStroking(InCut)
		if idle, ok := r.Span(Idle); ok {
			cells[5] = engine.FormatTens(r.Mean(idle.From, idle.To))
		}
	}
	return cells
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

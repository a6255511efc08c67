package measure_test

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/synth"
	"topnote/internal/verdict"
)

// claims counts, in tenths of what was claimed, how often it came true.
type claims struct {
	claimed [10]float64 // sum
	found   [10]float64
	all     [10]int
}

// add notes a claim, 0 to 1, and whether it came true.
func (c *claims) add(claimed float64, right bool) {
	k := min(9, max(0, int(10*claimed)))
	c.claimed[k] += claimed
	c.all[k]++
	if right {
		c.found[k]++
	}
}

// tenths writes a row: claimed mean, found share and number for each tenth.
func (c *claims) tenths(b *strings.Builder, name string) {
	fmt.Fprintf(b, "%-34s", name)
	for k, n := range c.all {
		if n == 0 {
			b.WriteString("        -       ")
			continue
		}
		fmt.Fprintf(b, " %3.0f>%3.0f /%-6d", 100*c.claimed[k]/float64(n), 100*c.found[k]/float64(n), n)
	}
	b.WriteString("\n")
}

// bands counts how many errors lie within the central bands of a normal
// distribution of the claimed deviation.
type bands struct {
	within [10]int // element k: in the band that holds (k+1)/10 of them; the last: 95 in 100
	all    int
}

// bandOf gives the half widths, in deviations, of the central bands that hold a
// tenth, two tenths ... nine tenths and 95 in 100 of a normal distribution.
func bandOf(k int) float64 {
	p := float64(k+1) / 10
	if k == 9 {
		p = 0.95
	}
	return math.Sqrt2 * math.Erfinv(p)
}

func (x *bands) add(off, sd float64) {
	x.all++
	for k := range x.within {
		if math.Abs(off) <= bandOf(k)*sd {
			x.within[k]++
		}
	}
}

func (x *bands) write(b *strings.Builder, name string) {
	fmt.Fprintf(b, "%-34s", name)
	for _, n := range x.within {
		fmt.Fprintf(b, " %5.1f", 100*float64(n)/float64(max(1, x.all)))
	}
	fmt.Fprintf(b, "  of %d\n", x.all)
}

// trust gathers what is claimed of speeds, firing and verdict.
type trust struct {
	point, pointRight, held, heldRight, idle, four bands
	right, firing, over, mostly                    claims
	codes                                          map[string]*ratio // verdicts told, by code, and how many are true
}

// frames holds each reading of a track against the truth.
func (x *trust) frames(h heard, r report.Report) {
	const hears, around engine.Seconds = 0.05, 0.06
	const line = 0.05
	for _, p := range r.Track {
		at := engine.Seconds(p.TimeS)
		want := float64(h.truth.Run.SpeedAt(at))
		if p.RPM == 0 || want == 0 {
			continue
		}
		off := float64(p.RPM) - want
		right := math.Abs(off) < line*want
		x.right.add(p.Confidence, right)
		x.point.add(off, p.SDRPM)
		if right {
			x.pointRight.add(off, p.SDRPM)
		}
		if every := h.truth.Run.SteadyAt(at, around); every > 0 && p.FiresEveryRev > 0 && right {
			x.firing.add(p.FiringConfidence, (every == 1) == (p.FiresEveryRev == 1))
		}
	}
}

// pass holds the figures of a pass against the truth.
func (x *trust) pass(h heard) {
	if off, told := h.topOff(h.known); told {
		top := h.known.TopEnd
		x.held.add(off*float64(h.truth.Held), top.SDRPM)
		if math.Abs(off) < speedWrong {
			x.heldRight.add(off*float64(h.truth.Held), top.SDRPM)
		}
		limit := float64(h.trial.Limits.Max)
		x.over.add(normal(float64(top.SustainedRPM)-limit, top.SDRPM), h.above() > 0)
		if h.truth.Four >= 0 {
			x.four.add(top.FourStrokingShare-h.truth.Four, top.FourStrokingSD)
			x.mostly.add(normal(top.FourStrokingShare-0.5, top.FourStrokingSD), h.truth.Four > 0.5)
		}
	}
	if idle := h.known.Idle; idle != nil && h.truth.Idle > 0 {
		want := make([]float64, 0, len(h.truth.Run.OperatingPoints))
		for s := idle.FromS; s < idle.ToS; s += float64(synth.Step) {
			want = append(want, float64(h.truth.Run.SpeedAt(engine.Seconds(s))))
		}
		x.idle.add(float64(idle.RPM)-at(0.5, want), idle.SDRPM)
	}
}

// normal gives the probability that a figure that is so far over a line, with a
// standard deviation, is truly over it.
func normal(over, sd float64) float64 { return 0.5 * math.Erfc(-over/max(1e-9, sd)/math.Sqrt2) }

// verdict counts a code and whether what it says of the engine is true. Codes that
// say nothing of it, and those of machines with a limiting coil, are left out.
func (x *trust) verdict(h heard) {
	const nearly, edge = 0.01, 0.7 // of the limit: at it; up to here four-stroking is an edge that counts as lean (synth.Deserve)
	code, under := verdict.Code(h.known.Verdict.Code), h.above() <= 0
	known := h.truth.Four >= 0
	var right bool
	switch code {
	case verdict.OverLimit:
		right, known = !under, true
	case verdict.AtLimit:
		right, known = math.Abs(h.above()) < nearly, true
	case verdict.CleanBelowLimit:
		right = under && h.truth.Four < edge
	case verdict.FourStroking, verdict.RichInCut:
		right = under && h.truth.Four > 0.5
	default:
		return
	}
	if x.codes == nil {
		x.codes = map[string]*ratio{}
	}
	if x.codes[string(code)] == nil {
		x.codes[string(code)] = &ratio{}
	}
	x.codes[string(code)].count(known, right)
}

// trustTable holds what is claimed against what is found. A deviation claims
// that the error lies within so many of it as a normal distribution has it; a
// confidence claims to be right so often.
func trustTable(all []heard) string {
	var x trust
	for _, h := range all {
		if h.refused == "" {
			x.frames(h, h.known)
			x.pass(h)
			x.verdict(h)
		}
	}
	return x.table()
}

// table gives the rows of all that was gathered.
func (x *trust) table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-34s    10    20    30    40    50    60    70    80    90    95\n", "errors in the band that claims, %")
	x.point.write(&b, "speed of each reading")
	x.pointRight.write(&b, "  where on the right line")
	x.held.write(&b, "top speed")
	x.heldRight.write(&b, "  where on the right line")
	x.idle.write(&b, "idle, of the time it is told for")
	x.four.write(&b, "share of four-stroking")
	b.WriteString("claimed > found / number, in tenths of the claim, %\n")
	x.right.tenths(&b, "reading on the right line")
	x.firing.tenths(&b, "firing: every turn or not")
	x.over.tenths(&b, "over the limit")
	x.mostly.tenths(&b, "four-strokes most of the time")
	b.WriteString("verdicts, true of told\n")
	for _, code := range slices.Sorted(maps.Keys(x.codes)) {
		fmt.Fprintf(&b, "%-34s %9s %5.1f %%\n", code, x.codes[code], 100*x.codes[code].share())
	}
	return b.String()
}

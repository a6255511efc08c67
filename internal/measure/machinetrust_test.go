package measure_test

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/report"
	"topnote/internal/synth"
	"topnote/internal/verdict"
)

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
	swayed                                         bands // top speed and idle with the errors that FloorSD of package pass stands for, which a made pass does not have
	right, firing, over, mostly, told              claims
	codes                                          map[string]*cell // verdicts told, by code
	passes                                         uint64
}

// begin begins a pass.
func (x *trust) begin() {
	x.passes++
	for _, c := range []*claims{&x.right, &x.firing, &x.over, &x.mostly, &x.told} {
		c.begin()
	}
}

// sway gives the error of a speed that a clock, and a hand or a machine that sways,
// have in one recording.
func (x *trust) sway(speed engine.RPM) float64 {
	return rand.New(rand.NewPCG(x.passes, 0)).NormFloat64() * pass.Default().FloorSD * float64(speed)
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
		x.swayed.add(off*float64(h.truth.Held)+x.sway(h.truth.Held), top.SDRPM)
		if math.Abs(off) < speedWrong {
			x.heldRight.add(off*float64(h.truth.Held), top.SDRPM)
		}
		over, mostly := h.claims()
		x.over.add(over, h.above() > 0)
		if h.truth.Four >= 0 {
			x.four.add(top.FourStrokingShare-h.truth.Four, top.FourStrokingSD)
			x.mostly.add(mostly, h.truth.Four > 0.5)
		}
	}
	if idle := h.known.Idle; idle != nil && h.truth.Idle > 0 {
		want := make([]float64, 0, len(h.truth.Run.OperatingPoints))
		for s := idle.FromS; s < idle.ToS; s += float64(synth.Step) {
			want = append(want, float64(h.truth.Run.SpeedAt(engine.Seconds(s))))
		}
		off := float64(idle.RPM) - at(0.5, want)
		x.idle.add(off, idle.SDRPM)
		x.swayed.add(off+x.sway(engine.RPM(idle.RPM)), idle.SDRPM)
	}
}

// normal gives the probability that a figure that is so far over a line, with a
// standard deviation, is truly over it.
func normal(over, sd float64) float64 { return 0.5 * math.Erfc(-over/max(1e-9, sd)/math.Sqrt2) }

// verdict holds what a code says of the engine against the truth: over its limit or
// under it, and four-stroking for most of the time or not. Codes that say nothing of it,
// and those of machines with a limiting coil, are left out.
func (x *trust) verdict(h heard) {
	const nearly, edge = 0.01, 0.7 // of the limit: at it; up to here four-stroking is an edge that counts as lean (synth.Deserve)
	code, under, four := verdict.Code(h.known.Verdict.Code), h.above() <= 0, h.truth.Four
	var right bool
	var claimed float64
	over, mostly := h.claims()
	switch {
	case code == verdict.OverLimit:
		right, claimed = !under, over
	case code == verdict.AtLimit:
		right, claimed = math.Abs(h.above()) < nearly, 1
	case four < 0:
		return
	case code == verdict.CleanBelowLimit:
		right, claimed = under && four < edge, (1-over)*(1-mostly)
	case code == verdict.FourStroking || code == verdict.RichInCut:
		right, claimed = under && four > 0.5, (1-over)*mostly
	default:
		return
	}
	if x.codes == nil {
		x.codes = map[string]*cell{}
	}
	c := x.codes[string(code)]
	if c == nil {
		c = &cell{}
		x.codes[string(code)] = c
	}
	c.add(claimed, right)
	x.told.add(claimed, right)
}

// claims gives the probabilities, as the report has them, that it ran over its limit
// and that it four-strokes for most of the time.
func (h heard) claims() (over, mostly float64) {
	top := h.known.TopEnd
	if top == nil {
		return 0, 0
	}
	return normal(float64(top.SustainedRPM)-float64(h.trial.Limits.Max), top.SDRPM), top.MostlyFour
}

// trustTable holds what is claimed against what is found. A deviation claims
// that the error lies within so many of it as a normal distribution has it; a
// confidence claims to be right so often.
func trustTable(all []heard) string {
	var x trust
	for _, h := range all {
		if h.refused == "" {
			x.begin()
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
	x.swayed.write(&b, "both, with a clock and a hand")
	x.four.write(&b, "share of four-stroking")
	b.WriteString("claimed > found, in tenths of the claim, and how much more is found, with 95 % by passes, %\n")
	x.right.write(&b, "reading on the right line")
	x.firing.write(&b, "firing: every turn or not")
	x.over.write(&b, "over the limit")
	x.mostly.write(&b, "four-strokes most of the time")
	x.told.write(&b, "verdict")
	b.WriteString("verdicts, claimed > true, of so many told, %\n")
	for _, code := range slices.Sorted(maps.Keys(x.codes)) {
		c := x.codes[code]
		n := float64(c.all)
		fmt.Fprintf(&b, "%-34s %5.1f > %5.1f of %d\n", code, 100*c.claimed/n, 100*c.found/n, c.all)
	}
	return b.String()
}

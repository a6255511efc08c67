package report

import (
	"fmt"
	"math"
	"strings"

	"topnote/internal/engine"
	"topnote/internal/verdict"
)

// The words of a report beside the verdict's own sentences.

// The headings of the text.
const (
	headSpeed     = "At full throttle"
	headAdvice    = "What to do"
	headFigures   = "The rest of the pass"
	headOpenings  = "Each opening of the throttle"
	headPhases    = "Phases, in rpm"
	headProblems  = "Problems with the recording"
	headRecording = "The recording"
	headFindings  = "Also heard"
	headFacts     = "About the recording"
	headCautions  = "Take care"
	headFirst     = "Do this first"
	saysWhy       = "Why: "
)

// The names of the rows.
const (
	rowHeld    = "top speed"
	rowLimit   = "against limit"
	rowPeak    = "highest"
	rowHeard   = "heard from"
	rowFiring  = "firing"
	rowIdle    = "idle"
	rowRise    = "rise"
	rowCut     = "in the cut"
	rowFall    = "fall"
	rowFile    = "file"
	rowSound   = "sound"
	rowEngine  = "measured as"
	rowQuality = "quality"
	rowRemark  = "remark"
	rowNotRead = "not read"
)

// phaseColumns names the columns of the phases after the first.
func phaseColumns(e Engine) []string {
	return []string{"from s", "to s", "median", "lowest", "highest", e.missing()}
}

// missingHead is missing as the head of a narrow column, in two lines.
func (e Engine) missingHead() (upper, lower string) {
	if e.Strokes == 4 {
		return "skips", "cycles"
	}
	return "four-", "stroking"
}

// missing names what an engine does that does not fire on every cycle: a four-stroke
// cannot four-stroke.
func (e Engine) missing() string {
	if e.Strokes == 4 {
		return "skips cycles"
	}
	return "four-stroking"
}

// verdictColour supports what the sentence says: red for stop, yellow for
// change something, green for the safe side, bold alone for no judgement.
func verdictColour(v Verdict) string {
	switch v.tone() {
	case toneStop:
		return boldRed
	case toneChange:
		return boldYellow
	case toneSafe:
		return boldGreen
	default:
		return bold
	}
}

// Headline gives the verdict in a few words. A finding that is more dangerous opens
// them.
func (v Verdict) Headline() string {
	words, side := headlineOf(v.Code)
	if worst := v.worst(); worst != nil {
		return headlineOfFinding(worst.Code)
	}
	if side == sideSafe && v.Asks == "governor" {
		side = sideUnlessGoverned
	}
	if side != "" {
		return words + ", " + side
	}
	return words
}

const (
	sideSafe           = "safe side"
	sideUnlessGoverned = "safe side unless a governor holds it"
)

// headlineOfFinding gives a finding that can outrank a verdict in a few words.
func headlineOfFinding(code string) string {
	switch code {
	case "no-return":
		return "Does not return to idle"
	case "chain-driven":
		return "Chain or tool driven at idle"
	case "runs-on":
		return "Chain or tool runs on after release"
	case "climbs":
		return "Top speed keeps climbing"
	case "sinks":
		return "Top speed keeps falling"
	default:
		return "Not safe"
	}
}

// headlineOf gives a code in a few words, and the side of the mixture that it means.
func headlineOf(code string) (words, side string) {
	switch verdict.Code(code) {
	case verdict.OverLimit:
		return "Over the limit", ""
	case verdict.AtLimit:
		return "At the limit", ""
	case verdict.CleanBelowLimit:
		return "Clean without load", "lean side"
	case verdict.SparkLimited:
		return "Held back by the ignition", ""
	case verdict.Governed:
		return "Held by its governor", ""
	case verdict.RichInCut:
		return "Too rich", ""
	case verdict.FourStroking:
		return "Four-stroking", sideSafe
	case verdict.BelowLimit:
		return "Below the limit", ""
	case verdict.NoLimit:
		return "No limit entered", ""
	case verdict.NoEngine:
		return "No engine heard", ""
	default:
		return "Not enough to judge", ""
	}
}

// The captions: the speed with its uncertainty; the limit.
const (
	capSpeed = "%s rpm ± %s"
	capOver  = "over the limit of %s"
)

// saysFires says that an engine fires every nth working cycle, "" for 0.
func saysFires(n int, e Engine) string {
	nth := [...]string{"", "", "2nd", "3rd", "4th"}
	switch {
	case n == 0:
		return ""
	case n == 1 && e.Strokes == 4:
		return "firing every cycle"
	case n == 1:
		return "firing every turn"
	case e.Strokes == 4:
		return fmt.Sprintf("firing every %s cycle", nth[n])
	default:
		return fmt.Sprintf("four-stroking, every %s turn", nth[n])
	}
}

const saysMarked = "not safe: something more dangerous was heard beside the verdict; see its report"

// minus is the minus sign: a hyphen is overlooked at arm's length.
const minus = "\u2212"

// SaysCount opens the table of many recordings.
func SaysCount(n int) string {
	if n == 1 {
		return "1 recording"
	}
	return fmt.Sprintf("%d recordings, most dangerous first", n)
}

// saysMore says what the short text leaves out; brief is on one line.
func saysMore(r Report, brief bool) string {
	v := r.Verdict
	steps := max(0, len(v.Advice)-1)
	if brief {
		return fmt.Sprintf("--full prints the rest: steps %d, findings %d, problems %d, cautions and figures.", steps, len(v.Findings), len(r.Quality.Problems))
	}
	return fmt.Sprintf("--full prints the rest: further steps %d, findings %d, problems with the recording %d, all cautions and figures.",
		steps, len(v.Findings), len(r.Quality.Problems))
}

func phaseWords(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

// saysFindings gives the findings, each with what to do about it.
func saysFindings(findings []Finding) []string {
	var says []string
	for _, f := range findings {
		says = append(says, f.Says+" "+f.Advice)
	}
	return says
}

// saysProblems gives the problems with the recording, each with what to do about it.
func saysProblems(problems []Problem) []string {
	var says []string
	for _, p := range problems {
		says = append(says, p.Says)
	}
	return says
}

func saysOther(other Speed) string {
	return fmt.Sprintf("The sound could also be read as %s rpm; "+
		"a recording that begins at idle settles it.", other.Reading())
}

// nameTop names the top speed where it stands by itself.
const nameTop = "Top speed, held for half a second"

// saysOff says how uncertain the top speed is.
func saysOff(t TopEnd) string { return "± " + engine.FormatHalfWidth(t.SDRPM) + " rpm (95 %)" }

func saysHeld(t TopEnd) string {
	return fmt.Sprintf("%s (95 %%), held for half a second", saysHeldShort(t))
}

// saysAgainst compares the sustained speed with the limit, in rpm and percent.
func saysAgainst(r Report) string {
	limit := r.Limits.MaxRPM
	if !limit.Told() {
		return "no limit was entered"
	}
	over := r.margin()
	by, share := engine.FormatWhole(math.Abs(over)), 100*math.Abs(over)/float64(limit)
	above, setTo := r.TopEnd.SustainedRPM > limit, r.Engine.LimitIs == engine.SetTo
	switch {
	case over == 0 && setTo && above:
		return fmt.Sprintf("just above the set-to figure of %s rpm", limit)
	case over == 0 && setTo:
		return fmt.Sprintf("just below the set-to figure of %s rpm", limit)
	case over == 0 && above:
		return fmt.Sprintf("just above the limit of %s rpm", limit)
	case over == 0:
		return fmt.Sprintf("just below the limit of %s rpm", limit)
	case setTo && above:
		return fmt.Sprintf("%s rpm (%.1f %%) above the set-to figure of %s rpm", by, share, limit)
	case setTo:
		return fmt.Sprintf("%s rpm (%.1f %%) below the set-to figure of %s rpm", by, share, limit)
	case above:
		return fmt.Sprintf("%s rpm (%.1f %%) above the limit of %s rpm", by, share, limit)
	}
	return fmt.Sprintf("%s rpm (%.1f %%) below the limit of %s rpm", by, share, limit)
}

// saysFiring says how it fired at full throttle, as a list.
func saysFiring(t TopEnd, e Engine) string {
	four, clean, notTold := wholeShares(t.FourStrokingShare, t.CleanShare)
	if notTold >= 1 {
		return "not told"
	}
	missing, fires, rest := "", fmt.Sprintf("clean %s", engine.FormatShare(clean)), ""
	if e.Strokes == 4 {
		fires = fmt.Sprintf("fires every cycle %s of the time", engine.FormatShare(clean))
	}
	missing = fmt.Sprintf("%s %s of the time", e.missing(), engine.FormatShare(four))
	if t.FourStrokingSD > 0 { // older reports have none
		missing = fmt.Sprintf("%s %s (%s) of the time", e.missing(), engine.FormatShare(four),
			saysRange(t.FourStrokingShare, engine.CoverageFactor*t.FourStrokingSD))
	}
	if notTold > 0 {
		rest = fmt.Sprintf("not told %s", engine.FormatShare(notTold))
	}
	return joinParts(missing, saysPattern(t.FiringShares, four, e), fires, rest, saysStutter(t.Stutter))
}

// saysStutter says how often a coil leaves out sparks, "" for not at all.
func saysStutter(s *Stutter) string {
	switch {
	case s == nil || s.RateHz == nil:
		return ""
	case s.Belief >= verdict.Default().Sure:
		return fmt.Sprintf("cut by the coil %.0f times a second", *s.RateHz)
	}
	return fmt.Sprintf("perhaps cut by the coil %.0f times a second", *s.RateHz)
}

// saysRange says within what a share is, 95 % sure: no share is under 0 or over 100 %.
func saysRange(share, halfWidth float64) string {
	low, high := math.Max(0, share-halfWidth), math.Min(1, share+halfWidth)
	return fmt.Sprintf("%.0f to %.0f %%", math.Floor(100*low), math.Ceil(100*high))
}

// saysPattern says which turns fire while it four-strokes, or which cycles of a
// four-stroke. They add up to the share of four-stroking, as it is shown.
func saysPattern(shares [5]float64, four float64, e Engine) string {
	each := [...]string{2: "every 2nd turn %s", 3: "every 3rd turn %s", 4: "every 4th turn %s"}
	if e.Strokes == 4 {
		each = [...]string{2: "every 2nd cycle %s", 3: "every 3rd cycle %s", 4: "every 4th cycle %s"}
	}
	var says []string
	for i, share := range apportion(four, shares[2:]) {
		if share > 0 {
			says = append(says, fmt.Sprintf(each[2+i], engine.FormatShare(share)))
		}
	}
	return strings.Join(says, ", ")
}

// saysPeak gives the fastest reading, and the overshoot on opening the throttle
// where it is significant.
func saysPeak(t TopEnd) string {
	over := ""
	if t.OvershootRPM > engine.CoverageFactor*t.OvershootSDRPM {
		over = fmt.Sprintf("overshot by %s rpm on opening", engine.FormatTens(t.OvershootRPM))
	}
	return joinParts(t.PeakRPM.Reading()+" rpm", over)
}

func saysSound(c Clip) string {
	channels := "1 channel"
	if c.Channels != 1 {
		channels = fmt.Sprintf("%d channels", c.Channels)
	}
	says := fmt.Sprintf("%.1f s, %s %s, %s Hz, %s", c.DurationS,
		strings.ToUpper(c.Container), c.Codec, engine.FormatWhole(c.SampleRateHz), channels)
	if c.Channels > 1 && c.Used != "" {
		says += "; measured: " + c.Used
	}
	return says
}

func saysEngine(e Engine) string {
	strokes := "two-stroke"
	if e.Strokes == 4 {
		strokes = "four-stroke"
	}
	cylinders := "1 cylinder"
	if e.Cylinders != 1 {
		cylinders = fmt.Sprintf("%d cylinders", e.Cylinders)
	}
	return joinParts(strokes+", "+cylinders, SaysBuild(e))
}

func saysQuality(q Quality) string {
	var says []string
	if q.SNRdB != nil {
		says = append(says, fmt.Sprintf("engine %.0f dB louder than the background", *q.SNRdB))
	}
	if q.BandwidthHz != nil {
		says = append(says, fmt.Sprintf("sound up to %s Hz", engine.FormatWhole(*q.BandwidthHz)))
	}
	says = append(says, fmt.Sprintf("%.1f %% clipped", q.ClippedPct))
	return strings.Join(says, ", ")
}

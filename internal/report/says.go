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
	headSpeed     = "Full throttle, no load"
	headAdvice    = "What to do"
	headFigures   = "The rest of the pass"
	headPhases    = "Phases, in rpm"
	headProblems  = "What stands in the way"
	headRecording = "The recording"
	headFindings  = "Also heard"
	headFacts     = "What is known of it"
	headCautions  = "Take care"
)

// The names of the rows.
const (
	rowHeld    = "held 0.5 s"
	rowLimit   = "against limit"
	rowPeak    = "peak"
	rowHeard   = "heard from"
	rowFiring  = "firing"
	rowIdle    = "idle"
	rowRise    = "rise"
	rowCut     = "in the cut"
	rowFall    = "fall"
	rowFile    = "file"
	rowSound   = "sound"
	rowEngine  = "taken as"
	rowQuality = "quality"
	rowRemark  = "remark"
	rowNotRead = "not read"
)

// phaseColumns names the columns of the phases after the first.
var phaseColumns = [...]string{"from s", "to s", "middle", "lowest", "highest", "4-stroke"}

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

// Headline gives the verdict in a few words. A finding that is more dangerous is
// mentioned in them.
func (v Verdict) Headline() string {
	words, side := headlineOf(v.Code)
	if side == sideSafe && v.Asks == "governor" {
		side = sideUnlessGoverned
	}
	switch {
	case !v.worseFound() && side != "":
		return words + ", " + side
	case !v.worseFound():
		return words
	case side == sideSafe || side == sideUnlessGoverned:
		return words + ", but not safe"
	default:
		return words + ", and not safe"
	}
}

const (
	sideSafe           = "safe side"
	sideUnlessGoverned = "safe side unless a governor holds it"
)

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

// The captions: speed and give or take; the limit.
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

// saysCount opens the table of many recordings.
func saysCount(n int) string {
	if n == 1 {
		return "1 recording"
	}
	return fmt.Sprintf("%d recordings, most dangerous first", n)
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
		"a clip that begins at idle settles it.", other.Reading())
}

func saysHeld(t TopEnd) string {
	return fmt.Sprintf("%s rpm, give or take %s (95 in 100)", t.SustainedRPM.Reading(), engine.FormatHalfWidth(t.SDRPM))
}

// saysAgainst compares the sustained speed with the limit, in rpm and percent.
func saysAgainst(r Report) string {
	name := "limit"
	if r.Engine.LimitIs == engine.SetTo {
		name = "set-to figure"
	}
	limit, held := r.Limits.MaxRPM, r.TopEnd.SustainedRPM
	if !limit.Told() {
		return "no limit was entered"
	}
	side := "below"
	over := float64(held - limit)
	if over > 0 {
		side = "above"
	}
	return fmt.Sprintf("%s rpm (%.1f %%) %s the %s of %s rpm",
		engine.FormatTens(math.Abs(over)), 100*math.Abs(over)/float64(limit), side, name, limit)
}

func saysFiring(t TopEnd) string {
	notTold := math.Max(0, 1-t.FourStrokingShare-t.CleanShare)
	if notTold == 1 {
		return "not told"
	}
	off := ""
	if t.FourStrokingSD > 0 { // older reports have none
		off = fmt.Sprintf(", give or take %.0f", math.Ceil(100*engine.CoverageFactor*t.FourStrokingSD))
	}
	sparks := ""
	if t.Stutter != nil && t.Stutter.RateHz != nil {
		sparks = fmt.Sprintf("perhaps cut by the coil %.0f times a second", *t.Stutter.RateHz)
		if t.Stutter.Belief >= verdict.Default().StutterSure {
			sparks = strings.TrimPrefix(sparks, "perhaps ")
		}
	}
	return joinParts(
		fmt.Sprintf("four-stroking %s of the time%s%s", engine.FormatShare(t.FourStrokingShare), off, saysPattern(t.FiringShares)),
		fmt.Sprintf("clean %s, not told %s", engine.FormatShare(t.CleanShare), engine.FormatShare(notTold)),
		sparks)
}

// saysPattern says which turns fire while it four-strokes.
func saysPattern(shares [5]float64) string {
	const rare = 0.005 // shows as nothing
	var says []string
	for n, ordinal := range [...]string{2: "2nd", 3: "3rd", 4: "4th"} {
		if ordinal != "" && shares[n] >= rare {
			says = append(says, fmt.Sprintf("every %s %s", ordinal, engine.FormatShare(shares[n])))
		}
	}
	if len(says) == 0 {
		return ""
	}
	return " (" + strings.Join(says, ", ") + ")"
}

// saysPeak gives the fastest reading, and the overshoot on opening the throttle
// where it is significant.
func saysPeak(t TopEnd) string {
	over := ""
	if t.OvershootRPM > engine.CoverageFactor*t.OvershootSDRPM {
		over = fmt.Sprintf("%s rpm over the settled speed on opening", engine.FormatTens(t.OvershootRPM))
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
		says = append(says, fmt.Sprintf("engine %.0f dB over the background", *q.SNRdB))
	}
	if q.BandwidthHz != nil {
		says = append(says, fmt.Sprintf("sound up to %s Hz", engine.FormatWhole(*q.BandwidthHz)))
	}
	says = append(says, fmt.Sprintf("%.1f %% clipped", q.ClippedPct))
	return strings.Join(says, ", ")
}

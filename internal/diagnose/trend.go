package diagnose

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"slices"
	"strconv"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/layout"
	"topnote/internal/report"
)

// TrendSchema names the layout of a Trend as JSON.
const TrendSchema = "topnote.trend/1"

// Trend is the passes of a machine in order of time.
type Trend struct {
	Schema   string       `json:"schema"` // TrendSchema
	Machine  book.Machine `json:"machine"`
	Passes   []TrendPoint `json:"passes"`               // without those that a later entry replaced
	Agrees   string       `json:"tachometer,omitempty"` // how well tachometer and sound agree; "": none was noted
	Response Response     `json:"response"`             // that speeds were corrected with
	Notes    []string     `json:"notes"`                // what was corrected, and how
	Lessons  []string     `json:"lessons"`              // why it ran as it did, what the next eighth of a turn should do, and how the last came out
	Next     Move         `json:"next_move"`
	Cautions []string     `json:"cautions"` // of the last pass
}

// TrendPoint is one pass of a trend. Null is not told, not noted, or not
// applicable.
type TrendPoint struct {
	Number            int64        `json:"pass"`
	Recorded          time.Time    `json:"recorded"`
	Verdict           string       `json:"verdict"`
	SustainedRPM      report.Speed `json:"sustained_rpm"`
	SDRPM             float64      `json:"sd_rpm"`
	FourStrokingShare *float64     `json:"four_stroking_share"`
	IdleRPM           report.Speed `json:"idle_rpm"`
	IdleSDRPM         float64      `json:"idle_sd_rpm"`
	Screws            book.Screws  `json:"screws"`
	TachometerRPM     report.Speed `json:"tachometer_rpm"` // as it was noted

	// LeanerPct is by how much the air of the day makes the mixture leaner than
	// standard air does; below 0 richer.
	LeanerPct *float64 `json:"leaner_than_standard_pct"`
	// CorrectedRPM is the top speed in standard air at the same screws: the
	// measured one, less LeanerPct times what 1 % did by the passes up to this one, so
	// that a later pass changes no figure.
	CorrectedRPM   report.Speed `json:"corrected_rpm"`
	CorrectedSDRPM float64      `json:"corrected_sd_rpm"`
}

// NewTrend lists the passes of a machine, as book.Book.Passes gives them, and
// corrects their top speeds to standard air (15 C, 1013.25 hPa, dry) where that is
// possible: for a two-stroke whose coil does not limit the speed, with its air
// noted. Four-stroking and idle are not corrected: no law for them is known.
func NewTrend(m book.Machine, passes []book.Pass, o Options) Trend {
	all := observations(passes)
	t := Trend{Schema: TrendSchema, Machine: m, Passes: []TrendPoint{}, Next: nextMove(all, len(all)-1, nil, o), Cautions: []string{}}
	if len(all) > 0 {
		t.Cautions = append(t.Cautions, all[len(all)-1].Report.Verdict.Cautions...)
	}
	t.Response = learnResponse(all, o).rounded()
	t.Lessons = lessons(all, o)
	corrected := 0
	for i, p := range all {
		point := trendPoint(p, learnResponse(all[:i+1], o)) // what comes later changes no figure
		if point.CorrectedRPM.Told() {
			corrected++
		}
		t.Passes = append(t.Passes, point)
	}
	t.Agrees = saysTachometers(all)
	t.Notes = trendNotes(t, corrected, o)
	return t
}

func trendPoint(p observation, r Response) TrendPoint {
	side := newSide(p)
	point := TrendPoint{
		Number: p.Number, Recorded: p.Recorded, Verdict: p.code(),
		SustainedRPM: side.SustainedRPM, SDRPM: side.SDRPM, FourStrokingShare: side.FourStrokingShare, IdleRPM: side.IdleRPM, Screws: p.Screws,
		TachometerRPM: p.TachometerRPM,
	}
	if p.Report.Idle != nil {
		point.IdleSDRPM = p.Report.Idle.SDRPM
	}
	if p.air == nil {
		return point
	}
	leaner := hundredth(p.airLean)
	point.LeanerPct = &leaner
	if !p.usable {
		return point
	}
	shift := air.Compare(*p.air, standardAir(), air.Default())
	point.CorrectedRPM = report.Speed(math.Round(p.speed() - r.PerPercent*p.airLean))
	point.CorrectedSDRPM = math.Ceil(math.Sqrt(square(p.top.SDRPM) + square(r.PerPercent*float64(shift.SD)) + square(p.airLean*r.PerPercentSD)))
	return point
}

// shortPasses is how many passes the short text of a trend has.
const shortPasses = 10

// WriteText writes the trend as a table for people, in lines of at most columns
// characters where the table allows it. In short it is the last passes and the next
// move; full has the passes before them, the lessons, the notes and the cautions too.
func (t Trend) WriteText(w io.Writer, columns int, full bool) error {
	p := layout.NewPage(w, columns)
	p.Wrap("", saysTrend(t))
	left := 0
	if len(t.Passes) > 0 {
		rows := t.Rows()
		if !full {
			left = max(0, len(t.Passes)-shortPasses)
			rows = append(rows[:1:1], rows[1+left:]...)
		}
		p.WriteString("\n")
		rows = append([][]string{{"", "", "", "", "", upperHead}}, rows...)
		rows[1] = slices.Clone(rows[1])
		rows[1][5] = lowerHead
		p.Table(rows, 0, 2, 3, 4, 5, 6, 7)
	}
	if t.Agrees != "" {
		p.WriteString("\n")
		p.Wrap("", t.Agrees)
	}
	if !full {
		p.Heading(headNext)
		p.Wrap("", t.Next.Says)
		p.List(headCautions, t.Cautions[:min(1, len(t.Cautions))])
		p.WriteString("\n")
		p.Wrap("", saysMoreOfTrend(left))
		return p.Flush()
	}
	p.List(headLesson, t.Lessons)
	p.List(headRead, t.Notes)
	p.Heading(headNext)
	p.Wrap("", t.Next.Says)
	p.List(headCautions, t.Cautions)
	return p.Flush()
}

// WriteJSON writes the trend on one line.
func (t Trend) WriteJSON(w io.Writer) error { return json.NewEncoder(w).Encode(t) }

// WriteCSV writes the trend as CSV (RFC 4180); what is not told is an empty cell.
func (t Trend) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	out.Write([]string{"pass", "recorded", "sustained_rpm", "sd_rpm", "corrected_rpm", "corrected_sd_rpm", "four_stroking_share",
		"idle_rpm", "h_turns", "l_turns", "idle_turns", "leaner_than_standard_pct", "verdict"})
	for _, p := range t.Passes {
		out.Write([]string{
			strconv.FormatInt(p.Number, 10), p.Recorded.Format(time.RFC3339),
			bare(float64(p.SustainedRPM), p.SustainedRPM.Told()), bare(p.SDRPM, p.SustainedRPM.Told()),
			bare(float64(p.CorrectedRPM), p.CorrectedRPM.Told()), bare(p.CorrectedSDRPM, p.CorrectedRPM.Told()),
			bareOr(p.FourStrokingShare), bare(float64(p.IdleRPM), p.IdleRPM.Told()),
			bareOr((*float64)(p.Screws.H)), bareOr((*float64)(p.Screws.L)), bareOr((*float64)(p.Screws.Idle)),
			bareOr(p.LeanerPct), p.Verdict,
		})
	}
	out.Flush()
	return out.Error() // carries the first error of all
}

func bare(v float64, told bool) string {
	if !told {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func bareOr(v *float64) string {
	if v == nil {
		return ""
	}
	return bare(*v, true)
}

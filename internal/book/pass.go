package book

import (
	"encoding/json"
	"errors"
	"strings"
	"time"

	"topnote/internal/air"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// Pass is a recorded run with what was noted of the day.
type Pass struct {
	Number     int64     // in this book, from 1; 0: not stored yet
	Machine    string    // its name
	Recorded   time.Time // when the engine ran
	Entered    time.Time // when it was stored; zero: now
	Report     report.Report
	Air        *air.Reading // nil: not given
	Screws     Screws
	FilterNote string // air filter: "new", "cleaned", "dusty" ...
	FuelNote   string // fuel, oil, fuel system: "fresh, 1:50", "fuel filter new" ...
	Who        string

	// TachometerRPM is the top speed that a tachometer showed; 0: not noted.
	TachometerRPM report.Speed

	// ReplacedBy is the number of a later entry of the same recording for the
	// same machine, which counts in its place; 0: none.
	ReplacedBy int64

	reportJSON []byte // the report as it is stored, on one line; nil: not stored yet
}

// Screws are the settings of a carburettor's screws; nil: not given.
type Screws struct {
	H    *Turns `json:"h_turns"`    // high-speed mixture
	L    *Turns `json:"l_turns"`    // low-speed mixture
	Idle *Turns `json:"idle_turns"` // stop of the throttle: turns in from first contact with its lever
}

// FourStrokingShare gives the share of the full throttle without load, 0 to 1,
// that the engine four-strokes. It is not told without full throttle, or where
// the firing is unknown for more than half of it.
func (p Pass) FourStrokingShare() (share float64, told bool) {
	const minTold = 0.5
	t := p.Report.TopEnd
	if t == nil || t.FourStrokingShare+t.CleanShare < minTold {
		return 0, false
	}
	return t.FourStrokingShare, true
}

// Compare orders passes by the time at which they were recorded, then by number:
// below 0 where p comes first.
func (p Pass) Compare(q Pass) int {
	if c := p.Recorded.Compare(q.Recorded); c != 0 {
		return c
	}
	return int(p.Number - q.Number)
}

// check returns a *Problem for what no pass can have.
func (p Pass) check() error {
	err := errors.Join(
		checkText("air filter note", p.FilterNote, maxLong),
		checkText("fuel note", p.FuelNote, maxLong),
		checkText("name of who did it", p.Who, maxShort),
		p.Screws.check(),
		checkTachometer(p.TachometerRPM),
		CheckTimes(p.Recorded, p.Entered),
		checkReport(p.Report))
	if err != nil {
		return firstProblem(err)
	}
	if p.Air != nil {
		if _, err := p.Air.Air(air.Default()); err != nil {
			return problemAir(err)
		}
	}
	return nil
}

// checkTachometer returns a *Problem for a speed that no tachometer shows; 0 is one that
// was not noted.
func checkTachometer(v report.Speed) error {
	if v != 0 && !(v >= 1 && v <= maxRPM) { // not a number fails
		return problemTachometer(float64(v))
	}
	return nil
}

// TachometerOff gives how far the tachometer was above the top speed that was read from
// the sound, below 0 for under it, in rpm as readers see both; false where either is
// missing.
func (p Pass) TachometerOff() (rpm float64, told bool) {
	t := p.Report.TopEnd
	if !p.TachometerRPM.Told() || t == nil || !t.SustainedRPM.Told() {
		return 0, false
	}
	return -engine.Margin(float64(t.SustainedRPM), float64(p.TachometerRPM)), true
}

// earliest is the first day that a pass can have been recorded on. One that is
// earlier, or later than its entry, is an error of typing or of the clock, which
// may be a day off, as by its zone.
var earliest = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

const clockError = 24 * time.Hour

// CheckTimes returns a *Problem of kind ErrEntry unless a pass that was recorded then
// can be entered at that time: not before 2000, nor more than a day in the future.
func CheckTimes(recorded, entered time.Time) error {
	if recorded.Before(earliest) || recorded.After(entered.Add(clockError)) || entered.Year() > 9999 {
		return problemDate(recorded)
	}
	return nil
}

// checkReport returns a *Problem for a report that cannot be stored: without the
// hash of its recording, with a verdict that this program does not know and would show as
// no judgement, or with text that a terminal would not print as it is. The
// name of the clip may hold anything: it is made printable where it is shown.
func checkReport(r report.Report) error {
	if len(r.Clip.SHA256) != 64 || strings.Trim(r.Clip.SHA256, "0123456789abcdef") != "" {
		return problemNoHash(r.Clip.SHA256)
	}
	texts := []string{r.Clip.Container, r.Clip.Codec, r.Clip.Used, r.Verdict.Code, r.Verdict.Says}
	texts = append(texts, r.Clip.Remarks...)
	texts = append(texts, r.Verdict.Advice...)
	texts = append(texts, r.Verdict.Cautions...)
	for _, f := range r.Verdict.Findings {
		texts = append(append(texts, f.Code, f.Says, f.Advice), f.Causes...)
	}
	for _, p := range r.Phases {
		texts = append(texts, p.Kind)
	}
	for _, p := range r.Quality.Problems {
		texts = append(texts, p.Code, p.Says)
	}
	for _, t := range texts {
		if err := checkText("text of the report", t, maxSentence); err != nil {
			return err
		}
	}
	if code, found := r.UnknownCode(); found {
		return problemReportCode(code)
	}
	return checkFigures(r)
}

// JSON gives a stored pass as an export has it, without the end of the line. The
// report is exactly the one that was stored; of a pass from Passes it is without
// its track.
func (p Pass) JSON() ([]byte, error) {
	return json.Marshal(p.json())
}

package diagnose

import (
	"math"
	"slices"
	"time"

	"topnote/internal/book"
	"topnote/internal/report"
)

// WhySchema names the layout of an Explanation as JSON.
const WhySchema = "topnote.why/1"

// Explanation says why a machine runs otherwise in one pass than in another.
type Explanation struct {
	Schema  string `json:"schema"` // WhySchema
	Machine string `json:"machine"`
	Then    Side   `json:"then"`
	Now     Side   `json:"now"`

	Changed []string `json:"changed"` // what was noted otherwise, in words

	// The change of the sustained top speed without load, rpm; null where one of
	// the passes has none that tells of the mixture. Below 0: slower now.
	ChangeRPM   *float64 `json:"change_rpm"`
	ChangeSDRPM *float64 `json:"change_sd_rpm"`
	Parts       []Part   `json:"parts"` // what makes it up, in order; empty without ChangeRPM

	Response Response `json:"response"` // of the machine, that the parts were reckoned with
	Causes   []Ranked `json:"causes"`   // for the rest, most likely first
	Answer   string   `json:"answer"`   // in one sentence
	Notes    []string `json:"notes"`    // what was assumed
	Next     Move     `json:"next_move"`
	Cautions []string `json:"cautions"`
}

// Side is one of the two passes.
type Side struct {
	Number       int64        `json:"pass"`
	Recorded     time.Time    `json:"recorded"`
	SustainedRPM report.Speed `json:"sustained_rpm"`
	SDRPM        float64      `json:"sd_rpm"`
	FourStroking *float64     `json:"four_stroking_share"` // null: not told
	IdleRPM      report.Speed `json:"idle_rpm"`
	Verdict      string       `json:"verdict"` // its code
	Says         string       `json:"says"`    // its sentence
}

// Part is one share of a change.
type Part struct {
	What    string  `json:"what"`   // air, temperature, pressure, humidity, h-screw, slow, sudden, rest
	Leaner  float64 `json:"leaner"` // percent that it makes the mixture leaner; below 0 richer
	SD      float64 `json:"leaner_sd"`
	RPM     float64 `json:"rpm"` // that it makes of the top speed
	SDRPM   float64 `json:"rpm_sd"`
	Of      string  `json:"of,omitempty"` // the part that this is a share of
	assumed bool    // nothing was noted
}

// Why explains the difference of two passes of one machine.
//
// passes are those of the machine, as book.Book.Passes gives them; number is the pass
// to explain and before the one that it is held against, or 0 for the one before
// it. It returns a *book.Problem of kind book.ErrUnknown for a number that is not among
// them, and of kind book.ErrEntry for two that cannot be held against each other.
func Why(passes []book.Pass, number, before int64, o Options) (Explanation, error) {
	rs := readingsOf(passes)
	now, err := indexOf(passes, rs, number)
	if err != nil {
		return Explanation{}, err
	}
	then := now - 1
	if before != 0 {
		if then, err = indexOf(passes, rs, before); err != nil {
			return Explanation{}, err
		}
	}
	switch {
	case before != 0 && then == now:
		return Explanation{}, problemSamePass(number)
	case then < 0:
		return Explanation{}, problemFirstPass(number)
	case then > now:
		then, now = now, then
	}
	if rs[now].Report.Engine.Strokes == 4 {
		return Explanation{}, problemFourStroke()
	}
	return explain(rs, then, now, o), nil
}

// indexOf finds a pass among those that count.
func indexOf(passes []book.Pass, rs []reading, number int64) (int, error) {
	if i := slices.IndexFunc(rs, func(r reading) bool { return r.Number == number }); i >= 0 {
		return i, nil
	}
	if i := slices.IndexFunc(passes, func(p book.Pass) bool { return p.Number == number }); i >= 0 {
		return 0, problemReplaced(number, passes[i].ReplacedBy)
	}
	return 0, problemNotOfMachine(number)
}

func explain(rs []reading, then, now int, o Options) Explanation {
	p := newPair(rs, then, now, o)
	e := Explanation{
		Schema: WhySchema, Machine: p.now.Machine, Then: sideOf(p.then), Now: sideOf(p.now),
		Changed: p.noted(), Parts: p.parts(), Response: p.response.rounded(), Causes: p.rank(), Notes: p.assumptions(),
		Next: nextMove(rs, now, o), Cautions: append([]string{}, p.now.Report.Verdict.Cautions...),
	}
	e.Answer = saysAnswer(p, e.Parts, e.Causes)
	if p.comparable {
		change, sd := math.Round(p.change.v), math.Round(p.change.sd)
		e.ChangeRPM, e.ChangeSDRPM = &change, &sd
	}
	for i := range e.Causes {
		const perBelief = 1000
		e.Causes[i].Belief = math.Round(perBelief*e.Causes[i].Belief) / perBelief
	}
	return e
}

// rounded gives the response to the figures that are worth writing down.
func (r Response) rounded() Response {
	for _, v := range []*float64{&r.PerTurn, &r.PerTurnSD, &r.PerPercent, &r.PerPercentSD} {
		*v = math.Round(*v)
	}
	return r
}

func sideOf(r reading) Side {
	s := Side{Number: r.Number, Recorded: r.Recorded, Verdict: r.code(), Says: r.Report.Verdict.Says}
	if r.top != nil {
		s.SustainedRPM, s.SDRPM = r.top.SustainedRPM, r.top.SDRPM
		if four, told := r.FourStrokingShare(); told {
			s.FourStroking = &four
		}
	}
	if r.Report.Idle != nil {
		s.IdleRPM = r.Report.Idle.RPM
	}
	return s
}

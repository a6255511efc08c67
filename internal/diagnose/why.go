package diagnose

import (
	"math"
	"slices"
	"time"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// WhySchema names the layout of an Explanation as JSON.
const WhySchema = "topnote.why/1"

// Explanation says why a machine ran differently in one pass than in another.
type Explanation struct {
	Schema  string `json:"schema"` // WhySchema
	Machine string `json:"machine"`
	Then    Side   `json:"then"`
	Now     Side   `json:"now"`

	Changed []string `json:"changed"` // what was noted differently, in words

	// The change of the sustained top speed without load, rpm; below 0 slower now.
	// Null where one of the passes has none that depends on the mixture.
	ChangeRPM   *float64 `json:"change_rpm"`
	ChangeSDRPM *float64 `json:"change_sd_rpm"`
	Parts       []Part   `json:"parts"` // of the change, in order; empty without ChangeRPM

	Response Response      `json:"response"` // of the machine, that the parts were computed with
	Causes   []RankedCause `json:"causes"`   // of the residual, most likely first
	Answer   string        `json:"answer"`   // in a sentence or two
	Lesson   string        `json:"lesson"`   // why, for a learner; "" where no cause is named
	Notes    []string      `json:"notes"`    // what was assumed
	Next     Move          `json:"next_move"`
	Cautions []string      `json:"cautions"`
}

// Side is one of the two passes that are compared.
type Side struct {
	Number            int64        `json:"pass"`
	Recorded          time.Time    `json:"recorded"`
	SustainedRPM      report.Speed `json:"sustained_rpm"`
	SDRPM             float64      `json:"sd_rpm"`
	FourStrokingShare *float64     `json:"four_stroking_share"` // null: not told
	IdleRPM           report.Speed `json:"idle_rpm"`
	Verdict           string       `json:"verdict"` // its code
	Says              string       `json:"says"`    // its sentence
}

// Part is one part of a change of the top speed.
type Part struct {
	What    string  `json:"what"`   // air, temperature, pressure, humidity, h-screw, slow, sudden, rest
	Leaner  float64 `json:"leaner"` // percent by which it makes the mixture leaner; below 0 richer. Not to be used with a Side
	SD      float64 `json:"leaner_sd"`
	RPM     float64 `json:"rpm"` // by which it changes the top speed
	SDRPM   float64 `json:"rpm_sd"`
	Of      string  `json:"of,omitempty"`   // the part that this is a part of; "" for the change itself
	Side    side    `json:"side,omitempty"` // of the rest: "open", "past-peak" or "power" where faster is not simply leaner
	assumed bool    // nothing was noted
}

// Why explains the difference of two passes of one machine.
//
// passes are those of the machine, as book.Book.Passes gives them; number is the
// pass to explain, or 0 for the last, and before the pass to compare it with, or 0 for
// the one before it. It returns a *book.Problem of kind book.ErrEntry for a number that is not
// among them or that a later entry replaced, for a pass with none before it, and
// for a four-stroke engine.
func Why(passes []book.Pass, number, before int64, o Options) (Explanation, error) {
	all := observations(passes)
	if number == 0 {
		if len(all) == 0 {
			return Explanation{}, problemNoPass()
		}
		number = all[len(all)-1].Number
	}
	now, err := indexOf(passes, all, number)
	if err != nil {
		return Explanation{}, err
	}
	then := now - 1
	if before != 0 {
		if then, err = indexOf(passes, all, before); err != nil {
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
	if t := traitsOf(all[now].Report.Engine); t.fourStroke && !t.speedTells() && t.governor != engine.Yes {
		return Explanation{}, problemFourStroke()
	}
	return explain(all, then, now, o), nil
}

// indexOf finds a pass among those that count.
func indexOf(passes []book.Pass, all []observation, number int64) (int, error) {
	if i := slices.IndexFunc(all, func(r observation) bool { return r.Number == number }); i >= 0 {
		return i, nil
	}
	if i := slices.IndexFunc(passes, func(p book.Pass) bool { return p.Number == number }); i >= 0 {
		return 0, problemReplaced(number, passes[i].ReplacedBy)
	}
	return 0, problemNotOfMachine(number)
}

// explain compares the passes with the indices then and now.
func explain(all []observation, then, now int, o Options) Explanation {
	c := newComparison(all, then, now, o)
	e := Explanation{
		Schema: WhySchema, Machine: c.now.Machine, Then: newSide(c.then), Now: newSide(c.now),
		Changed: c.saysChanges(), Parts: c.parts(), Response: c.response.rounded(), Causes: c.rankCauses(), Notes: c.saysAssumptions(),
		Next: nextMove(all, now, c, o), Cautions: append([]string{}, c.now.Report.Verdict.Cautions...),
	}
	e.Answer, e.Lesson = saysAnswer(c, e.Parts, e.Causes), c.lesson()
	if c.comparable {
		change, sd := math.Round(c.change.value), math.Round(c.change.sd)
		e.ChangeRPM, e.ChangeSDRPM = &change, &sd
	}
	for i := range e.Causes {
		e.Causes[i].Probability = engine.Round(e.Causes[i].Probability, 1000) // to a tenth of a percent
		for j := range e.Causes[i].Which {
			e.Causes[i].Which[j].Probability = engine.Round(e.Causes[i].Which[j].Probability, 1000)
		}
	}
	return e
}

func newSide(r observation) Side {
	s := Side{Number: r.Number, Recorded: r.Recorded, Verdict: r.code(), Says: r.Report.Verdict.Says}
	if r.top != nil {
		s.SustainedRPM, s.SDRPM = r.top.SustainedRPM, r.top.SDRPM
	}
	if share, told := r.FourStrokingShare(); told {
		s.FourStrokingShare = &share
	}
	if r.Report.Idle != nil {
		s.IdleRPM = r.Report.Idle.RPM
	}
	return s
}

package page

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/picture"
	"topnote/internal/report"
)

// trace is a pass as the scripts draw and play it: one list for each column of
// the track, so that it is small.
type trace struct {
	Name     string       `json:"name"`
	Duration float64      `json:"duration"` // s
	Limit    report.Speed `json:"limit"`    // rpm; 0: none
	Strokes  int          `json:"strokes"`
	From     float64      `json:"from"`  // s; where the cursor is at first
	Opens    *float64     `json:"opens"` // s; where the throttle opens; null: not heard
	Times    []float64    `json:"times"` // s
	RPM      []float64    `json:"rpm"`   // 0: not told
	SD       []float64    `json:"sd"`    // rpm
	Fires    []int        `json:"fires"` // every so many cycles; 0: not told
	Phases   []phase      `json:"phases"`
}

// phase is a phase in the words of the pictures; times in s.
type phase struct {
	Says string  `json:"says"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

func newTrace(name string, r report.Report, opens *float64) trace {
	t := trace{
		Name: name, Duration: r.Clip.DurationS, Limit: r.Limits.MaxRPM, Strokes: r.Engine.Strokes, Opens: opens,
		Times: []float64{}, Phases: []phase{},
	}
	if r.TopEnd != nil {
		t.From = (r.TopEnd.HeldFromS + r.TopEnd.HeldToS) / 2
	}
	for _, p := range r.Track {
		t.Times = append(t.Times, p.TimeS)
		t.RPM = append(t.RPM, float64(p.RPM))
		t.SD = append(t.SD, p.SDRPM)
		t.Fires = append(t.Fires, p.FiresEveryRev)
	}
	for _, p := range r.Phases {
		t.Phases = append(t.Phases, phase{picture.PhaseName(p), p.FromS, p.ToS})
	}
	return t
}

// scale is a rule with the held speed and the limit on it, in parts of its
// width: 0 to scaleWidth.
type scale struct {
	From, Width float64 // the held speed with its uncertainty
	Limit, Over float64 // the limit, and what is left beyond it
	Anchor      string  // of the word at the limit
	Ticks       []tick
}

// tick is a mark of a scale.
type tick struct {
	X    float64
	Name string // "" for a small one
}

const scaleWidth = 360

// newScale makes the scale of a report; nil where it has no speed or no limit.
// It reaches as far as tells the two apart, not down to 0.
func newScale(r report.Report) *scale {
	if r.TopEnd == nil || !r.Limits.MaxRPM.Told() {
		return nil
	}
	const (
		least    = 0.12 // of the limit, shown at least
		room     = 2.5  // times the distance of the two
		slimmest = 5.0
	)
	held, limit := float64(r.TopEnd.SustainedRPM), float64(r.Limits.MaxRPM)
	span := max(least*limit, room*math.Abs(held-limit))
	low := (held+limit)/2 - span/2
	x := func(rpm float64) float64 { return math.Round(10*scaleWidth*(rpm-low)/span) / 10 }
	s := &scale{Limit: x(limit), Over: scaleWidth - x(limit), Anchor: "middle", Ticks: ticksOf(low, span, x)}
	from, to := x(held-r.TopEnd.HalfWidthRPM()), x(held+r.TopEnd.HalfWidthRPM())
	if s.Width = to - from; s.Width < slimmest {
		s.Width = slimmest
	}
	s.From = (from + to - s.Width) / 2
	return s
}

// ticksOf gives four marks or fewer with names, and five parts between two.
func ticksOf(low, span float64, x func(float64) float64) []tick {
	const most, parts, margin = 4, 5, 22
	step := math.Pow(10, math.Floor(math.Log10(span/most)))
	for _, times := range []float64{1, 2, 5, 10} {
		if span/(step*times) <= most {
			step *= times
			break
		}
	}
	var ticks []tick
	for i := int(math.Ceil(low * parts / step)); float64(i)*step/parts <= low+span; i++ {
		rpm := float64(i) * step / parts
		t := tick{X: x(rpm)}
		if i%parts == 0 && t.X > margin && t.X < scaleWidth-margin {
			t.Name = engine.FormatWhole(rpm)
		}
		ticks = append(ticks, t)
	}
	return ticks
}

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
	Top      [2]float64   `json:"top"` // s; from and to of full throttle without load; 0, 0: none
	Told     bool         `json:"-"`   // there is a speed at all
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
		t.Top = [2]float64{r.TopEnd.FromS, r.TopEnd.ToS}
	}
	for _, p := range r.Track {
		t.Times = append(t.Times, p.TimeS)
		t.RPM = append(t.RPM, float64(p.RPM))
		t.SD = append(t.SD, p.SDRPM)
		t.Told = t.Told || p.RPM.Told()
		t.Fires = append(t.Fires, p.FiresEveryRev)
	}
	for _, p := range r.Phases {
		t.Phases = append(t.Phases, phase{picture.PhaseName(p), p.FromS, p.ToS})
	}
	return t
}

// scale is a scale of speeds with the top speed and the limit on it. Positions are
// 0 to scaleWidth.
type scale struct {
	From, Width float64 // of the top speed with its uncertainty
	Limit, Over float64 // of the limit, and the width beyond it
	Anchor      string  // of the word at the limit
	Ticks       []tick
}

// tick is one of a scale.
type tick struct {
	X    float64
	Name string // "" for a small one
}

const scaleWidth = 360

// newScale makes the scale of a report; nil where it has no speed or no limit.
// Its range is as wide as separates the two, and does not begin at 0.
func newScale(r report.Report) *scale {
	if r.TopEnd == nil || !r.Limits.MaxRPM.Told() {
		return nil
	}
	const (
		minRange    = 0.12 // of the limit
		rangeFactor = 2.5  // times the distance of the two
		minWidth    = 5.0  // of the band of the top speed
	)
	held, limit := float64(r.TopEnd.SustainedRPM), float64(r.Limits.MaxRPM)
	span := max(minRange*limit, rangeFactor*math.Abs(held-limit))
	low := (held+limit)/2 - span/2
	x := func(rpm float64) float64 { return math.Round(10*scaleWidth*(rpm-low)/span) / 10 }
	s := &scale{Limit: x(limit), Over: scaleWidth - x(limit), Anchor: "middle", Ticks: ticksOf(low, span, x)}
	from, to := x(held-r.TopEnd.HalfWidthRPM()), x(held+r.TopEnd.HalfWidthRPM())
	if s.Width = to - from; s.Width < minWidth {
		s.Width = minWidth
	}
	s.From = (from + to - s.Width) / 2
	return s
}

// ticksOf gives at most four ticks with names, and divides each step in five.
func ticksOf(low, span float64, x func(float64) float64) []tick {
	const maxNames, parts, margin = 4, 5, 22
	step := math.Pow(10, math.Floor(math.Log10(span/maxNames)))
	for _, times := range []float64{1, 2, 5, 10} {
		if span/(step*times) <= maxNames {
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

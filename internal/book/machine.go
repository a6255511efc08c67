package book

import (
	"errors"
	"math"
	"strings"
	"time"

	"topnote/internal/report"
)

// Machine is a machine as its user describes it.
type Machine struct {
	Name   string        `json:"name"` // the user's own; upper and lower case count as the same
	Engine report.Engine `json:"engine"`
	Limits report.Limits `json:"limits"` // speeds of 0 were not entered
	Notes  string        `json:"notes"`
}

// Edit is one change of a machine.
type Edit struct {
	At     time.Time `json:"at"`
	Who    string    `json:"who"` // "": not given
	Before Machine   `json:"before"`
	After  Machine   `json:"after"`
}

// Check returns a *Problem of kind ErrEntry for a machine that cannot be.
func (m Machine) Check() error {
	switch {
	case m.Name == "":
		return problemNoName()
	case strings.TrimSpace(m.Name) != m.Name:
		return problemBlankName(m.Name)
	case report.Query(m.Engine, m.Limits).Spec.Check() != nil:
		return problemEngine(m.Engine)
	case m.Engine.Build.Check() != nil:
		return problemBuild(m.Engine.Build.Check())
	}
	if err := errors.Join(checkText("name", m.Name, maxShort), checkText("notes", m.Notes, maxLong)); err != nil {
		return firstProblem(err)
	}
	return checkLimits(m.Limits)
}

// maxRPM bounds the speeds that can be entered, in rpm: no hand-held engine
// reaches a quarter of it.
const maxRPM = 100_000

// checkLimits returns a *Problem for speeds that are impossible, alone or
// together.
func checkLimits(l report.Limits) error {
	speeds := []struct {
		name string
		rpm  report.Speed
	}{{"idle", l.IdleRPM}, {"clutch", l.ClutchRPM}, {"maximum", l.MaxRPM}}
	last := -1
	for i, s := range speeds {
		if v := float64(s.rpm); math.IsNaN(v) || v < 0 || v > maxRPM {
			return problemSpeed(s.name, v)
		}
		if !s.rpm.Told() {
			continue
		}
		if last >= 0 && speeds[last].rpm >= s.rpm {
			return problemSpeedOrder(speeds[last].name, speeds[last].rpm, s.name, s.rpm)
		}
		last = i
	}
	return nil
}

// nameKey gives a name in the form in which names are compared.
func nameKey(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

package main

import (
	"errors"

	"topnote/internal/clip"
	"topnote/internal/measure"
	"topnote/internal/report"
	"topnote/internal/verdict"
)

// status is an exit status of the program.
type status int

// The exit statuses.
const (
	measured   status = 0
	failed     status = 1
	wrongUsage status = 2
	nothing    status = 3 // measured nothing that it can stand behind
	dangerous  status = 4 // over or at the limit
)

// worse gives the status that several clips have together: danger before
// failure before nothing measured, so that no clip hides what another found.
func (s status) worse(other status) status {
	for _, first := range []status{dangerous, failed, nothing} {
		if s == first || other == first {
			return first
		}
	}
	return measured
}

// statusOfVerdict gives the status of one measured clip.
func statusOfVerdict(code string) status {
	switch verdict.Code(code) {
	case verdict.OverLimit, verdict.AtLimit:
		return dangerous
	case verdict.NoEngine, verdict.NotEnough:
		return nothing
	default:
		return measured
	}
}

// usage is a command line that cannot be carried out.
type usage struct {
	says, do string
}

// Error gives both sentences on one line.
func (u *usage) Error() string { return u.says + "; " + u.do }

// usageOf says that a flag's value cannot be used, and why.
func usageOf(flag, value string, err error) error {
	var refusal *measure.Refusal
	if errors.As(err, &refusal) {
		return &usage{flag + ": " + refusal.Says, refusal.Do}
	}
	var own *usage
	if errors.As(err, &own) {
		return &usage{flag + ": " + own.says, own.do}
	}
	return &usage{flag + ": " + quoted(value) + " cannot be used", doHelp}
}

func statusOf(err error) status {
	var u *usage
	if errors.As(err, &u) {
		return wrongUsage
	}
	return failed
}

// errorLine gives the one line that stands for an error: "topnote: FILE: what
// is wrong; what to do".
func errorLine(file string, err error) string {
	line := "topnote: "
	if file != "" {
		line += report.Printable(file) + ": "
	}
	return line + sentence(err)
}

// sentence gives what is wrong and what to do in one line.
func sentence(err error) string {
	text := err.Error()
	var problem *clip.Problem
	if errors.As(err, &problem) {
		text = problem.Says + "; " + problem.Do
	}
	return report.OneLine(text)
}

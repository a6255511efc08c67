package main

import (
	"errors"

	"topnote/internal/clip"
	"topnote/internal/entry"
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
	noResult   status = 3 // no engine, or not enough to judge
	dangerous  status = 4 // over or at the limit
)

// worse gives the status of two clips together: dangerous before failed before
// noResult, so that no clip hides the danger of another.
func (s status) worse(other status) status {
	for _, first := range []status{dangerous, failed, noResult} {
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
		return noResult
	default:
		return measured
	}
}

// usageError is a wrong command line: what is wrong and what to do.
type usageError struct {
	says, do string
}

// Error gives both sentences on one line.
func (u *usageError) Error() string { return u.says + "; " + u.do }

// usageErrorOf gives the usage error for a flag whose value err refuses.
func usageErrorOf(flag, value string, err error) error {
	var refusal *entry.Refusal
	if errors.As(err, &refusal) {
		return &usageError{flag + ": " + refusal.Says, refusal.Do}
	}
	var own *usageError
	if errors.As(err, &own) {
		return &usageError{flag + ": " + own.says, own.do}
	}
	return &usageError{flag + ": " + quoted(value) + " cannot be used", doHelp}
}

func statusOf(err error) status {
	var u *usageError
	if errors.As(err, &u) {
		return wrongUsage
	}
	return failed
}

// errorLine gives an error as one line: "topnote: FILE: what
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

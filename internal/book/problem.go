package book

import (
	"errors"
	"math"
	"unicode"
	"unicode/utf8"

	"topnote/internal/report"
)

// Kinds of problems, for errors.Is.
var (
	ErrEntry   = errors.New("book: what was entered cannot be used")
	ErrUnknown = errors.New("book: it is not in the book")
	ErrKnown   = errors.New("book: the book has it already")
	ErrNoBook  = errors.New("book: there is no book")
	ErrFile    = errors.New("book: the file cannot be used")
	ErrImport  = errors.New("book: it cannot be imported")
)

// Problem is why something cannot be done, in words for people: two halves of
// one sentence, without a full stop.
type Problem struct {
	Kind     error  // one of those above
	Says, Do string // what is wrong; what to do about it
	cause    error  // what the system said; nil: nothing
}

// Error gives what is wrong and what to do, on one line.
func (p *Problem) Error() string { return "book: " + p.Says + "; " + p.Do }

// Unwrap gives the kind and the cause.
func (p *Problem) Unwrap() []error {
	if p.cause == nil {
		return []error{p.Kind}
	}
	return []error{p.Kind, p.cause}
}

// firstProblem gives the first *Problem of joined errors, so that one sentence is
// said.
func firstProblem(err error) error {
	var problem *Problem
	if errors.As(err, &problem) {
		return problem
	}
	return err
}

// The longest texts that are stored, in characters.
const (
	maxShort    = 80
	maxLong     = 1000
	maxSentence = 4000 // of a report
)

// checkText returns a *Problem for text that has more than limit characters or
// cannot be printed on one line.
func checkText(what, text string, limit int) error {
	if !utf8.ValidString(text) {
		return problemUnprintable(what, text)
	}
	for _, c := range text {
		if !unicode.IsPrint(c) {
			return problemUnprintable(what, text)
		}
	}
	if utf8.RuneCountInString(text) > limit {
		return problemLongText(what, limit)
	}
	return nil
}

// checkFigures returns a *Problem for figures that no report has.
func checkFigures(r report.Report) error {
	speeds := []float64{float64(r.Limits.MaxRPM), float64(r.Limits.IdleRPM), float64(r.Limits.ClutchRPM)}
	var shares []float64
	if t := r.TopEnd; t != nil {
		speeds = append(speeds, float64(t.SustainedRPM), t.SDRPM, float64(t.PeakRPM))
		shares = append(shares, t.FourStrokingShare, t.CleanShare)
	}
	if i := r.Idle; i != nil {
		speeds = append(speeds, float64(i.RPM), i.SDRPM)
	}
	if c := r.Cut; c != nil {
		speeds = append(speeds, float64(c.RPM), c.SDRPM)
		shares = append(shares, c.FourStrokingShare, c.CleanShare)
	}
	for _, v := range speeds {
		if math.IsNaN(v) || v < 0 || v > maxRPM {
			return problemReportSpeed(v)
		}
	}
	for _, v := range shares {
		if math.IsNaN(v) || v < 0 || v > 1 {
			return problemReportShare(v)
		}
	}
	limit := report.Query(r.Engine, r.Limits).Ceiling()
	if t := r.TopEnd; t != nil && limit.Told() && float64(t.SustainedRPM) >= float64(limit) && r.Verdict.Danger() == 0 {
		return problemReportSafe(float64(t.SustainedRPM), float64(limit))
	}
	return nil
}

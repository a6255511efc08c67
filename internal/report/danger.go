package report

import "topnote/internal/verdict"

// Danger ranks what was heard on the scale of verdict.Code.Danger: by the
// verdict, or by a finding that is worse.
func (v Verdict) Danger() int {
	worst := verdict.Code(v.Code).Danger()
	for _, f := range v.Findings {
		worst = max(worst, verdict.FindingDanger(f.Code))
	}
	return worst
}

// worseFound reports whether a finding is more dangerous than the verdict.
func (v Verdict) worseFound() bool { return v.Danger() > verdict.Code(v.Code).Danger() }

// tone is what a verdict asks of the reader: the shape and the colour that
// support its words.
type tone string

const (
	toneStop   tone = "stop"   // do not run it so
	toneChange tone = "change" // something has to be changed
	toneSafe   tone = "safe"
	toneOpen   tone = "open" // nothing was judged
)

// tone gives what the verdict asks of the reader, with what was found beside it.
func (v Verdict) tone() tone {
	code := verdict.Code(v.Code)
	switch danger := v.Danger(); {
	case danger >= verdict.OverLimit.Danger():
		return toneStop
	case danger >= verdict.SparkLimited.Danger() || code == verdict.RichInCut:
		return toneChange
	case danger == 0:
		return toneSafe
	default:
		return toneOpen
	}
}

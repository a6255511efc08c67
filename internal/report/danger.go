package report

import "topnote/internal/verdict"

// Danger gives the highest rank of the verdict and its findings, on the scale of
// verdict.Code.Danger.
func (v Verdict) Danger() int {
	worst := verdict.Code(v.Code).Danger()
	for _, f := range v.Findings {
		worst = max(worst, verdict.FindingDanger(f.Code))
	}
	return worst
}

// UnknownCode gives the first code of the verdict and of the openings that is none of this
// program's; false where all are. What such a code warns of is not known, nor how much.
func (r Report) UnknownCode() (code string, found bool) {
	codes := []string{r.Verdict.Code}
	for _, o := range r.Openings {
		codes = append(codes, o.Code)
	}
	for _, code := range codes {
		if !verdict.Code(code).Known() {
			return code, true
		}
	}
	return "", false
}

// worseFound reports whether a finding is more dangerous than the verdict.
func (v Verdict) worseFound() bool { return v.worst() != nil }

// worst gives the most dangerous finding that is more dangerous than the verdict, nil
// for none.
func (v Verdict) worst() *Finding {
	var worst *Finding
	danger := verdict.Code(v.Code).Danger()
	for i, f := range v.Findings {
		if d := verdict.FindingDanger(f.Code); d > danger {
			worst, danger = &v.Findings[i], d
		}
	}
	return worst
}

// tone is what the reader should do; it selects the shape and colour that support
// the words.
type tone string

const (
	toneStop   tone = "stop"   // do not run it like this
	toneChange tone = "change" // change something
	toneSafe   tone = "safe"
	toneOpen   tone = "open" // nothing was judged, or it depends on what is not known
)

// tone gives the tone of the verdict and its findings together.
func (v Verdict) tone() tone {
	code := verdict.Code(v.Code)
	switch danger := v.Danger(); {
	case danger >= verdict.OverLimit.Danger():
		return toneStop
	case danger >= verdict.SparkLimited.Danger() || code == verdict.RichInCut:
		return toneChange
	case danger == 0 && v.Asks == "governor":
		return toneOpen // safe unless a governor holds it: no colour says more than the sentence
	case danger == 0:
		return toneSafe
	default:
		return toneOpen
	}
}

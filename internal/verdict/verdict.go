package verdict

import "topnote/internal/unit"

// Code names a verdict. The values are part of the report's schema.
type Code string

// The codes, most dangerous first. A later one never hides an earlier one.
const (
	OverLimit       Code = "over-limit"
	AtLimit         Code = "at-limit"
	CleanBelowLimit Code = "clean-below-limit"
	SparkLimited    Code = "spark-limited"
	RichInCut       Code = "rich-in-cut"
	FourStroking    Code = "four-stroking"
	NoLimit         Code = "no-limit"
	NotEnough       Code = "not-enough"
	NoEngine        Code = "no-engine"
)

// Verdict is the judgement of one clip, in a code for programs and in
// sentences for people.
type Verdict struct {
	Code     Code
	Says     string   // one sentence, figures in it, evidence by time
	Advice   []string // what to do next, in order
	Cautions []string // never empty
	Other    unit.RPM // a second reading of the top speed that could not be ruled out; 0: none
}

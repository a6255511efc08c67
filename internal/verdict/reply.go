package verdict

import (
	"fmt"
	"strings"
)

// How much of a verdict goes into a message: a person reads it on a phone.
const (
	replySteps    = 4
	replyFindings = 2
)

// Reply gives the verdict as a short message in plain words that an adviser can
// send to the person whose machine was recorded. It has no greeting and no
// name, ends in a newline, and says what to record again where that is needed.
func Reply(v Verdict) string {
	var b strings.Builder
	b.WriteString("About your recording.\n\n" + v.Says + "\n")
	if v.Other.Told() && !strings.Contains(v.Says, number(v.Other)) {
		fmt.Fprintf(&b, "The sound could also mean %s; a recording that begins at idle settles it.\n", rpm(v.Other))
	}
	b.WriteString("\nWhat to do now:\n")
	for i, step := range v.Advice[:min(replySteps, len(v.Advice))] {
		fmt.Fprintf(&b, "%d. %s\n", i+1, step)
	}
	if len(v.Findings) > 0 {
		b.WriteString("\nAlso heard:\n")
		for _, f := range v.Findings[:min(replyFindings, len(v.Findings))] {
			fmt.Fprintf(&b, "- %s %s\n", f.Says, f.Advice)
		}
	}
	b.WriteString("\n" + replyCaution + "\n")
	return b.String()
}

const replyCaution = "Please: your machine's handbook comes before anything I say. " +
	"Ear and eye protection, outdoors, chain brake on while starting, nobody near the chain, " +
	"and full throttle without load for a few seconds only."

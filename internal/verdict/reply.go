package verdict

import (
	"fmt"
	"slices"
	"strings"
)

// How much of a verdict goes into a message: a person reads it on a phone.
const (
	replySteps    = 5
	replyFindings = 2
)

// Reply gives the verdict as a short message in plain words that an adviser can
// send to the person whose machine was recorded. It has no greeting and no
// name, ends in a newline, and says what to record again where that is needed.
func Reply(v Verdict) string {
	var b strings.Builder
	b.WriteString("About your recording.\n\n" + v.Says + "\n")
	if v.Alternative.Told() && !strings.Contains(v.Says, number(v.Alternative)) {
		fmt.Fprintf(&b, "The sound could also mean %s; a recording that begins at idle settles it.\n", rpm(v.Alternative))
	}
	b.WriteString("\nWhat to do now:\n")
	for i, step := range v.Advice[:min(replySteps, len(v.Advice))] {
		fmt.Fprintf(&b, "%d. %s\n", i+1, step)
	}
	if len(v.Findings) > 0 {
		b.WriteString("\nAlso heard:\n")
		for _, f := range v.Findings[:min(replyFindings, len(v.Findings))] {
			fmt.Fprintf(&b, "- %s", f.Says)
			if !slices.Contains(v.Advice, f.Advice) {
				b.WriteString(" " + f.Advice)
			}
			b.WriteByte('\n')
		}
	}
	explain(&b)
	b.WriteString("\n" + v.Closing + "\n")
	return b.String()
}

// explain adds what the words of the trade mean that a message has used.
func explain(b *strings.Builder) {
	said := b.String()
	first := true
	for _, w := range replyWords {
		if !slices.ContainsFunc(w.said, func(word string) bool { return strings.Contains(said, word) }) {
			continue
		}
		if first {
			b.WriteString("\nIn plain words:\n")
			first = false
		}
		b.WriteString("- " + w.means + "\n")
	}
}

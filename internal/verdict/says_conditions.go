package verdict

import (
	"slices"
	"strings"
)

// open gives the conditions that a verdict depends on and that are not known.
func (f *facts) open(code Code) []condition {
	var out []condition
	for _, c := range conditions {
		if slices.Contains(c.of, code) && c.holds(f) {
			out = append(out, c)
		}
	}
	return out
}

// unlessWords says what of the machine would change a verdict, to follow its first
// words: ", unless a governor holds it"; nothing where all is known.
func (f *facts) unlessWords(code Code) string {
	var parts []string
	for _, c := range f.open(code) {
		if c.unless != "" {
			parts = append(parts, c.unless)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return ", unless " + list(parts, "or")
}

// givenWords says on what of the pass a verdict depends, as a sentence to follow it;
// nothing where all is known.
func (f *facts) givenWords(code Code) string {
	var parts []string
	for _, c := range f.open(code) {
		if c.given != "" {
			parts = append(parts, c.given)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return " It depends on " + list(parts, "and") + "."
}

// list joins the parts of an enumeration: "a, b and c"; "a, b, or c" of what are
// whole clauses.
func list(parts []string, and string) string {
	last := len(parts) - 1
	if last == 0 {
		return parts[0]
	}
	if last > 1 && and == "or" {
		and = ", or"
	} else {
		and = " " + and
	}
	return strings.Join(parts[:last], ", ") + and + " " + parts[last]
}

// asks gives the field whose answer would change the verdict of a rule most, "" for
// none: the one question that is worth asking. What is asked with every pass is not
// among them.
func (f *facts) asks(r *rule) string {
	if r.asks != "" {
		return r.asks
	}
	for _, c := range f.open(r.code) {
		if c.unless != "" {
			return c.field
		}
	}
	return ""
}

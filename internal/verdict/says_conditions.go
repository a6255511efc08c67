package verdict

import (
	"fmt"
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

// opening gives the first words of a verdict's sentence: plain, or with the doubt where
// it is not known whether a governor holds the speed.
func (f *facts) opening(code Code, plain, unlessGoverned string) string {
	if slices.ContainsFunc(f.open(code), func(c condition) bool { return c.field == "governor" }) {
		return unlessGoverned
	}
	return plain
}

// needNotBeLean says in a sentence what of the machine would make clean running no sign
// of a lean mixture, "" where all is known.
func (f *facts) needNotBeLean() string {
	var parts []string
	for _, c := range f.open(CleanBelowLimit) {
		if c.unless != "" {
			parts = append(parts, c.unless)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("It need not be lean if %s.", list(parts, "or"))
}

// givenWords says in a sentence on what of the pass a verdict depends, "" where all is
// known.
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
	return fmt.Sprintf("This holds only with %s.", list(parts, "and"))
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

// elsewhere tells of the run with the top speed where the sentence of a rule is of another;
// "" where it is of the same, or tells both already. The figures beside it are those of the
// top speed. A faster run whose readings are doubted does not give it.
func (f *facts) elsewhere(r *rule) string {
	g := *f
	g.top = f.TopEnd
	if r.whole || f.top == nil || g.top == nil {
		return ""
	}
	if fast := f.outrun(); r.faster && fast != nil && fast.From == g.top.From {
		return ""
	}
	what, why := "The top speed", ""
	switch ratio := float64(g.top.Sustained.Speed / f.top.Sustained.Speed); {
	case ratio < 1-f.opt.SameSpeed:
		what = "The top speed that is not doubted"
	case ratio <= 1+f.opt.SameSpeed:
		return ""
	case !g.longEnough():
		why = ", too short to be judged"
	}
	return fmt.Sprintf("%s, %s, is that of another run, %s%s.", what, figure(g.top.Sustained), g.heldWhen(), why)
}

package report

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"topnote/internal/engine"
	"topnote/internal/layout"
)

// String gives the speed in whole rpm with commas between thousands, "13,500",
// as a person entered it, and a dash where there is no speed.
func (s Speed) String() string {
	if !s.Told() {
		return "-"
	}
	return engine.FormatWhole(float64(s))
}

// Reading gives a measured speed as people read it off, to the nearest ten, and
// a dash where there is no speed.
func (s Speed) Reading() string {
	if !s.Told() {
		return "-"
	}
	return engine.FormatTens(float64(s))
}

// Printable gives a name that was found in or about a file in a form that is
// safe on a terminal, in a table and in captions: as it is when every character
// can be printed, otherwise in quotes with the rest spelled out. What cannot be
// printed are control characters, marks that turn the direction of writing, and
// bytes that are not UTF-8.
func Printable(name string) string {
	if OneLine(name) == name {
		return name
	}
	return strconv.Quote(name)
}

// OneLine is Printable for a sentence that may have such a name in it: on one
// line, without quotes, with what cannot be printed spelled out.
func OneLine(sentence string) string {
	if utf8.ValidString(sentence) && strings.IndexFunc(sentence, unprintable) < 0 {
		return sentence
	}
	quoted := strconv.Quote(strings.ReplaceAll(sentence, "\n", " "))
	return strings.NewReplacer(`\"`, `"`, `\\`, `\`).Replace(quoted[1 : len(quoted)-1])
}

func unprintable(c rune) bool { return !unicode.IsPrint(c) }

// wrap sets text on lines, the first of which begins with first: layout.Wrap of what can
// be printed.
func wrap(text, first string, columns int) string {
	return layout.Wrap(first, OneLine(text), columns)
}

package report

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"topnote/internal/engine"
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

// wrap breaks text at spaces into lines of at most columns characters. The
// first line is opened by first and the others by as many spaces, both counted
// in columns. A word that is longer than a line keeps a line of its own, and a
// number is not parted from its unit.
func wrap(text, first string, columns int) string {
	indent := utf8.RuneCountInString(first)
	var b strings.Builder
	b.WriteString(first)
	column := indent
	for _, word := range withUnits(strings.Fields(OneLine(text))) {
		length := utf8.RuneCountInString(word)
		switch {
		case column == indent:
		case column+1+length > columns:
			b.WriteByte('\n')
			b.WriteString(strings.Repeat(" ", indent))
			column = indent
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += length
	}
	b.WriteByte('\n')
	return b.String()
}

// withUnits joins each unit to the number before it, and ± to what it parts.
func withUnits(words []string) []string {
	var joined []string
	for _, w := range words {
		switch strings.Trim(w, ".,;:()") {
		case "rpm", "%", "s", "Hz", "dB":
			if n := len(joined); n > 0 && strings.ContainsAny(joined[n-1], "0123456789") {
				joined[n-1] += " " + w
				continue
			}
		}
		if n := len(joined); n > 0 && (w == "±" || strings.HasSuffix(joined[n-1], "±")) {
			joined[n-1] += " " + w
			continue
		}
		joined = append(joined, w)
	}
	return joined
}

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

// Printable gives text that was found in or about a file in a form that is
// safe to show on a terminal: as it is when every character can be printed,
// otherwise in quotes with the rest spelled out.
func Printable(text string) string {
	if !utf8.ValidString(text) {
		return strconv.Quote(text)
	}
	for _, c := range text {
		if !unicode.IsPrint(c) {
			return strconv.Quote(text)
		}
	}
	return text
}

// wrap breaks text at spaces into lines of at most columns characters. The
// first line is opened by first and the others by as many spaces, both counted
// in columns. A word that is longer than a line keeps a line of its own, and a
// number is not parted from its unit.
func wrap(text, first string, columns int) string {
	indent := utf8.RuneCountInString(first)
	var b strings.Builder
	b.WriteString(first)
	column := indent
	for _, word := range withUnits(strings.Fields(text)) {
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

// withUnits joins each unit to the number before it.
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
		joined = append(joined, w)
	}
	return joined
}

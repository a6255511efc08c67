package diagnose

import (
	"slices"
	"strings"

	"topnote/internal/book"
)

// Notes about filter and fuel are searched for a few words. A note counts where
// it differs from the one of the pass before: a repeated note is no new event.

// The words, in lower case, as beginnings of words.
var (
	wordsRenewed    = []string{"new", "renew", "replac", "clean", "wash", "blown", "chang", "fresh"}
	wordsDirty      = []string{"dirt", "dust", "load", "clog", "block", "old", "soot", "chips", "plugged"}
	wordsFuelSystem = []string{"filter", "line", "hose", "screen", "strainer", "jet", "passage", "vent", "pick"}
	wordsNot        = []string{"not", "no", "never", "without", "un"}
)

func filterNote(p book.Pass) string { return p.FilterNote }
func fuelNote(p book.Pass) string   { return p.FuelNote }

func filterRenewed(note string) bool { return mentions(note, wordsRenewed) }
func filterDirty(note string) bool {
	return mentions(note, wordsDirty) && !mentions(note, wordsRenewed)
}

// fuelSystemCleaned reports whether a fuel note is of a part of the fuel system
// that was renewed or cleaned.
func fuelSystemCleaned(note string) bool {
	return mentions(note, wordsFuelSystem) && mentions(note, wordsRenewed)
}

// otherFuel reports whether a new fuel note is of another fuel: any that is not of
// the fuel system.
func otherFuel(note string) bool { return note != "" && !mentions(note, wordsFuelSystem) }

// mentions reports whether a note has a word with one of the beginnings, and not a
// negation before it.
func mentions(note string, beginnings []string) bool {
	words := strings.FieldsFunc(strings.ToLower(note), func(c rune) bool {
		return !(c >= 'a' && c <= 'z')
	})
	for i, w := range words {
		begins := func(b string) bool { return strings.HasPrefix(w, b) }
		if slices.ContainsFunc(beginnings, begins) && (i == 0 || !slices.Contains(wordsNot, words[i-1])) {
			return true
		}
	}
	return false
}

// hasNotes reports whether such notes are written for this machine at all.
func (c *comparison) hasNotes(of func(book.Pass) string) bool {
	written := func(r observation) bool { return of(r.Pass) != "" }
	return written(c.then) || slices.ContainsFunc(c.earlier, written) || slices.ContainsFunc(c.since, written)
}

// newNote gives the last note since then that is new and has a meaning, "" for
// none.
func (c *comparison) newNote(of func(book.Pass) string, means func(string) bool) string {
	found, last := "", of(c.then.Pass)
	for _, r := range c.since {
		note := of(r.Pass)
		if note != "" && note != last && means(note) {
			found = note
		}
		if note != "" {
			last = note
		}
	}
	return found
}

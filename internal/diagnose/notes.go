package diagnose

import (
	"strings"

	"topnote/internal/book"
)

// What people write about filters and fuel is read for a few words. A note counts
// where it differs from the one of the pass before: a note that is repeated tells
// of no new event.

// The words that are looked for, in lower case, as beginnings of words.
var (
	wordsRenewed = []string{"new", "renew", "replac", "clean", "wash", "blown", "chang", "fresh"}
	wordsDirty   = []string{"dirt", "dust", "load", "clog", "block", "old", "soot", "chips", "plugged"}
	wordsWay     = []string{"filter", "line", "hose", "screen", "strainer", "jet", "passage", "vent", "pick"}
	wordsNot     = []string{"not", "no", "never", "without", "un"}
)

func filterNotes(p book.Pass) string { return p.FilterNote }
func fuelNotes(p book.Pass) string   { return p.FuelNote }

func filterRenewed(note string) bool { return tells(note, wordsRenewed) }
func filterDirty(note string) bool   { return tells(note, wordsDirty) && !tells(note, wordsRenewed) }

// fuelWayCleaned reads a fuel note for a part of the way of the fuel that was
// renewed or cleaned.
func fuelWayCleaned(note string) bool { return tells(note, wordsWay) && tells(note, wordsRenewed) }

// fuelOther reads it for another fuel: any new note that is not about its way.
func fuelOther(note string) bool { return note != "" && !tells(note, wordsWay) }

// tells reports whether a note has a word that begins with one of those, and no
// word beside it that turns it round.
func tells(note string, beginnings []string) bool {
	words := strings.FieldsFunc(strings.ToLower(note), func(c rune) bool {
		return !(c >= 'a' && c <= 'z')
	})
	for i, w := range words {
		for _, b := range beginnings {
			if strings.HasPrefix(w, b) && (i == 0 || !negates(words[i-1])) {
				return true
			}
		}
	}
	return false
}

func negates(word string) bool {
	for _, n := range wordsNot {
		if word == n {
			return true
		}
	}
	return false
}

// notes reports whether anybody writes such notes for this machine.
func (p *pair) notes(of func(book.Pass) string) bool {
	if of(p.then.Pass) != "" {
		return true
	}
	for _, r := range append(p.before, p.since...) {
		if of(r.Pass) != "" {
			return true
		}
	}
	return false
}

// noteSince gives the last note since then that is new and has a meaning, ""
// for none.
func (p *pair) noteSince(of func(book.Pass) string, means func(string) bool) string {
	found, last := "", of(p.then.Pass)
	for _, r := range p.since {
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

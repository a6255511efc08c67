package diagnose

import (
	"slices"
	"strings"
)

// What the notes of several passes say together: a note counts where it differs from
// the one of the pass before, since a repeated note is no new event.

// noteField is one of the two fields of a pass that hold notes.
type noteField int

const (
	filterField noteField = iota
	fuelField
	noteFields
)

func (o observation) note(f noteField) string {
	if f == filterField {
		return o.FilterNote
	}
	return o.FuelNote
}

// part gives what a note of the field is about where it does not say.
func (f noteField) part() part {
	if f == filterField {
		return partAirFilter
	}
	return partFuel
}

// noteFound is an event with the words of the note that has it.
type noteFound struct {
	event event
	words string
}

// newEvents gives the events of the notes since then that are new. The last note
// with an event gives its words.
func (c *comparison) newEvents() []noteFound {
	var found []noteFound
	for f := range noteFields {
		last, ratio := c.then.note(f), ratioIn(c.then.note(f))
		for _, r := range c.since {
			note := r.note(f)
			if note == "" {
				continue
			}
			if now := ratioIn(note); now != "" {
				if ratio != "" && now != ratio {
					found = append(found, noteFound{oilRatio, note})
				}
				ratio = now
			}
			if note != last {
				for _, e := range readNote(note, f.part()) {
					found = append(found, noteFound{e, note})
				}
			}
			last = note
		}
	}
	return found
}

// noted gives the words of the last new note with an event.
func (c *comparison) noted(e event) (words string, found bool) {
	for _, n := range c.events {
		if n.event == e {
			words, found = n.words, true
		}
	}
	return words, found
}

// keepsNotes reports whether such notes are written for this machine at all: only
// then does it say something that there is none.
func (c *comparison) keepsNotes(f noteField) bool {
	for _, all := range [][]observation{c.earlier, {c.then}, c.since} {
		for _, r := range all {
			if r.note(f) != "" {
				return true
			}
		}
	}
	return false
}

// checkNote looks for an event in the notes.
func (c *comparison) checkNote(e event) presence {
	if _, found := c.noted(e); found {
		return presence{true, c.opt.WrittenPresent}
	}
	field := fuelField
	if e == filterRenewed || e == filterDirty {
		field = filterField
	}
	if !c.keepsNotes(field) {
		return presence{}
	}
	return c.asNoted(false)
}

// filterAdvice says what a renewed air filter means for the setting of H: whether H
// was moved while the old one loaded up, where the book knows that.
func (c *comparison) filterAdvice() string {
	all := append(append(append([]observation{}, c.earlier...), c.then), c.since...)
	renewed := -1 // the last pass with a renewed filter, and the one before it
	before := -1
	for i, r := range all {
		if (i == 0 || r.FilterNote != all[i-1].FilterNote) && slices.Contains(readNote(r.FilterNote, partAirFilter), filterRenewed) {
			before, renewed = renewed, i
		}
	}
	if renewed < 1 {
		return askFilter
	}
	clean, noted := all[max(0, before)].setting()
	dirty, alsoNoted := all[renewed-1].setting()
	switch {
	case before < 0 || !noted || !alsoNoted:
		return askFilter
	case clean-dirty >= c.opt.MinSettingStep:
		return "H was closed by " + strings.Replace(turnsWords(clean-dirty), " turn", " of a turn", 1) + " while the filter loaded up, so that setting is lean now."
	case dirty-clean >= c.opt.MinSettingStep:
		return askFilter
	}
	return "H was not moved while the filter loaded up, so the old setting is restored."
}

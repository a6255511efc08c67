package book

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestDigestIsFixed pins what is digested: a program that did it otherwise would
// call every book damaged.
func TestDigestIsFixed(t *testing.T) {
	t.Parallel()
	r := machineRow{id: 7, name: "Öl", key: "öl", strokes: 2, cylinders: 1, notes: "a\nb", build: "{}"}
	r.maxSpeed.V, r.maxSpeed.Valid = 13500, true
	// 13,500 as IEEE 754: 1.64794921875 times 2 to the 13, worked out by hand.
	want := sha256.Sum256([]byte(strings.Join([]string{
		"integer 7\n", "text 3 Öl\n", "text 3 öl\n", "integer 2\n", "integer 1\n",
		"real 40ca5e0000000000\n", "null\n", "null\n", "text 3 a\nb\n", "text 2 {}\n",
	}, "")))
	if got := digest(r.columns()); got != hex.EncodeToString(want[:]) {
		t.Errorf("got %s", got)
	}
}

// TestDigestTellsRowsApart: text that moves from one column to the next makes
// another row.
func TestDigestTellsRowsApart(t *testing.T) {
	t.Parallel()
	text := rapid.StringOf(rapid.SampledFrom([]rune("a1 \n\x00ö")))
	row := rapid.Custom(func(t *rapid.T) editRow {
		return editRow{
			id: rapid.Int64Range(0, 2).Draw(t, "id"), machine: rapid.Int64Range(0, 2).Draw(t, "machine"),
			at: text.Draw(t, "at"), who: text.Draw(t, "who"), before: text.Draw(t, "before"), after: text.Draw(t, "after"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := row.Draw(t, "a"), row.Draw(t, "b")
		if rapid.Bool().Draw(t, "move") { // the end of one column to the beginning of the next
			b = a
			n := rapid.IntRange(0, len(a.who)).Draw(t, "bytes")
			b.who, b.before = a.who[:n], a.who[n:]+a.before
		}
		if (digest(a.columns()) == digest(b.columns())) != (a == b) {
			t.Fatalf("%+v and %+v", a, b)
		}
	})
}

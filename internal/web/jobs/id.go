package jobs

import (
	"crypto/rand"
	"encoding/base32"
	"strings"
)

// idBytes is the size of an id that cannot be guessed: 128 bits.
const idBytes = 16

// newID gives a new id: 26 letters and digits, which are a name of a file and a
// part of an address on every system.
func newID() string {
	b := make([]byte, idBytes)
	_, _ = rand.Read(b) // never fails, as its documentation says
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b))
}

//go:build !js

package sqlite

import (
	"testing"

	lib "modernc.org/sqlite/lib"
)

// TestCodes holds our result codes to those that SQLite was translated with.
func TestCodes(t *testing.T) {
	for code, want := range map[int]int{
		Perm: lib.SQLITE_PERM, Busy: lib.SQLITE_BUSY, Locked: lib.SQLITE_LOCKED, NoMem: lib.SQLITE_NOMEM,
		ReadOnly: lib.SQLITE_READONLY, IOErr: lib.SQLITE_IOERR, Corrupt: lib.SQLITE_CORRUPT, Full: lib.SQLITE_FULL,
		CantOpen: lib.SQLITE_CANTOPEN, Protocol: lib.SQLITE_PROTOCOL, Auth: lib.SQLITE_AUTH, NotADB: lib.SQLITE_NOTADB,
		IOErrShortRead: lib.SQLITE_IOERR_SHORT_READ,
	} {
		if code != want {
			t.Errorf("%d is %d", code, want)
		}
	}
}

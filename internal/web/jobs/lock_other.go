//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd)

package jobs

import "os"

// takeLock makes a file and keeps it open. Windows does not let an open file be
// removed, which serves as a lock.
func takeLock(path string) (*os.File, error) {
	return os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
}

// abandoned reports whether nobody has the file open: then it is gone.
func abandoned(path string) bool { return os.Remove(path) == nil }

// ownedHere reports whether a file belongs to the user of this program: the
// folder for temporary files is each user's own here.
func ownedHere(os.FileInfo) bool { return true }

//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package jobs

import (
	"os"
	"syscall"
)

// takeLock makes a file and locks it for as long as it is open, which is as long
// as this program lives.
func takeLock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		_ = f.Close() // the first error counts
		return nil, err
	}
	return f, nil
}

// abandoned reports whether nobody holds the lock.
func abandoned(path string) bool {
	f, err := os.OpenFile(path, os.O_RDWR|syscall.O_NOFOLLOW|syscall.O_NONBLOCK, 0)
	if err != nil {
		return false
	}
	defer f.Close() // gives the lock back
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil
}

// ownedHere reports whether a file belongs to the user of this program.
func ownedHere(info os.FileInfo) bool {
	is, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(is.Uid) == os.Geteuid()
}

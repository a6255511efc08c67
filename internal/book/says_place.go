//go:build !js

package book

// What to do about the file of a book where there is an operating system.
const (
	doOtherFile = "name another file with --book FILE; nothing was changed"
	doNewer     = "use the newer program; nothing was changed"
	doRestore   = "move it and its -wal and -shm files to another folder, keep them, and put a backup in its place"
	saysFull    = "the disk of the book %s is full, so nothing was stored"
	doFull      = "make room on it and try again"
	saysNoOpen  = "the book %s cannot be opened"
	doNoOpen    = "check that you may read it and write beside it, or name another file with --book FILE"
	saysDisk    = "the disk of the book %s cannot be read or written"
	doDisk      = "see whether it is still connected and in order, and try again"
)

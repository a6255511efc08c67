package jobs

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// The names of the private folder of a server and of the file in it that shows,
// by being locked, that its server lives.
const (
	folderPattern = "topnote-serve-*"
	lockName      = "lock"
)

// Folder is a private folder below the one for temporary files. It is removed
// when the server ends; what a crash left behind is swept by the next server that
// starts. It implements Files.
type Folder struct {
	path string
	lock *os.File
}

// OpenFolder makes a new folder below parent and sweeps what crashes left there.
func OpenFolder(parent string) (*Folder, error) {
	sweep(parent)
	path, err := os.MkdirTemp(parent, folderPattern) // readable by us alone, as MkdirTemp has it
	if err != nil {
		return nil, fmt.Errorf("web: making a folder for recordings: %w", err)
	}
	lock, err := takeLock(filepath.Join(path, lockName))
	if err != nil {
		_ = os.RemoveAll(path) // the first error counts
		return nil, fmt.Errorf("web: locking the folder for recordings: %w", err)
	}
	return &Folder{path: path, lock: lock}, nil
}

// Create implements Files.
func (f *Folder) Create(name string) (File, error) {
	return openFile(filepath.Join(f.path, name), os.O_RDWR|os.O_CREATE|os.O_EXCL)
}

// Open implements Files.
func (f *Folder) Open(name string) (File, error) {
	return openFile(filepath.Join(f.path, name), os.O_RDONLY)
}

func openFile(path string, flag int) (File, error) {
	const ours = 0o600
	f, err := os.OpenFile(path, flag, ours)
	if err != nil {
		return nil, err // no File: an interface that holds a nil *os.File is not nil
	}
	return f, nil
}

// Remove implements Files.
func (f *Folder) Remove(name string) error { return os.Remove(filepath.Join(f.path, name)) }

// Close removes the folder with all that is in it.
func (f *Folder) Close() error {
	return errors.Join(f.lock.Close(), os.RemoveAll(f.path))
}

// sweep removes the folders of servers that are no more. A folder of somebody
// else, one that is only being made, or a link is left alone.
func sweep(parent string) {
	folders, _ := filepath.Glob(filepath.Join(parent, folderPattern)) // the pattern is in order
	for _, folder := range folders {
		lock := filepath.Join(folder, lockName)
		if ours(folder, os.ModeDir) && ours(lock, 0) && abandoned(lock) {
			_ = os.RemoveAll(folder) // the next one tries again
		}
	}
}

// ours reports whether path is of this kind, and not a link, and this user's own.
func ours(path string, kind os.FileMode) bool {
	info, err := os.Lstat(path)
	return err == nil && info.Mode().Type() == kind && ownedHere(info)
}

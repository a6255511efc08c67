package web

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
)

// The names of the private folder of a server and of the file in it that shows,
// by being locked, that its server lives.
const (
	folderPattern = "topnote-serve-*"
	lockName      = "lock"
)

// store keeps the bytes of recordings in a private folder below the one for
// temporary files. Every name in it is made here. The folder goes with the
// server; what a crash left behind is swept by the next server that starts.
type store struct {
	folder string
	lock   *os.File
	most   int64 // bytes in all
	used   atomic.Int64
}

// openStore makes a new store below parent and sweeps what crashes left there.
func openStore(parent string, most int64) (*store, error) {
	sweep(parent)
	folder, err := os.MkdirTemp(parent, folderPattern) // for our eyes only, as MkdirTemp does
	if err != nil {
		return nil, fmt.Errorf("web: making a folder for recordings: %w", err)
	}
	lock, err := takeLock(filepath.Join(folder, lockName))
	if err != nil {
		_ = os.RemoveAll(folder) // the first error counts
		return nil, fmt.Errorf("web: locking the folder for recordings: %w", err)
	}
	return &store{folder: folder, lock: lock, most: most}, nil
}

// close removes the store with all that is in it.
func (s *store) close() error {
	_ = s.lock.Close() // only its lock was wanted
	return os.RemoveAll(s.folder)
}

// sweep removes the folders of servers that are no more. A folder of somebody
// else, one that is only being made, or a link is left alone.
func sweep(parent string) {
	folders, _ := filepath.Glob(filepath.Join(parent, folderPattern)) // the pattern is in order
	for _, folder := range folders {
		if ours(folder, os.ModeDir) && ours(filepath.Join(folder, lockName), 0) && abandoned(filepath.Join(folder, lockName)) {
			_ = os.RemoveAll(folder) // the next one tries again
		}
	}
}

// ours reports whether path is of this kind, and not a link, and this user's own.
func ours(path string, kind os.FileMode) bool {
	info, err := os.Lstat(path)
	return err == nil && info.Mode().Type() == kind && ownedHere(info)
}

// stored is a recording in the store. Whoever holds it calls release once.
type stored struct {
	in   *store
	path string
	size int64 // bytes

	mu   sync.Mutex
	refs int
}

// put takes what r gives into the store, under a name made here. It returns a
// *fault where the store is full, and the error of r; nothing is left behind
// then.
func (s *store) put(r io.Reader) (*stored, error) {
	f, err := os.OpenFile(filepath.Join(s.folder, newID()), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, fmt.Errorf("web: storing a recording: %w", err)
	}
	kept := &stored{in: s, path: f.Name(), refs: 1}
	_, err = io.Copy(&counted{f, kept}, r)
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err != nil {
		kept.release()
		return nil, err
	}
	return kept, nil
}

// counted writes to the file of a recording as long as the store has room.
type counted struct {
	file *os.File
	of   *stored
}

// Write implements io.Writer.
func (c *counted) Write(p []byte) (int, error) {
	n := int64(len(p))
	if c.of.in.used.Add(n) > c.of.in.most {
		c.of.in.used.Add(-n)
		return 0, faultFull()
	}
	c.of.size += n
	return c.file.Write(p)
}

// share gives the recording to one holder more.
func (f *stored) share() *stored {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.refs++
	return f
}

// release gives the recording up; the last holder removes it.
func (f *stored) release() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.refs--; f.refs > 0 {
		return
	}
	_ = os.Remove(f.path) // goes with the folder at the latest
	_ = os.Remove(f.soundPath())
	f.in.used.Add(-f.size)
}

// soundPath is where the sound that was measured is put once somebody wants it.
func (f *stored) soundPath() string { return f.path + ".wav" }

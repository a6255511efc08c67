package jobs

import (
	"errors"
	"fmt"
	"io"
	"sync"
	"sync/atomic"

	"topnote/internal/web/fault"
)

// Files is where a Store keeps its bytes: a Folder, or the memory of a browser.
// Every name is made here, of letters and digits with at most one full stop.
type Files interface {
	Create(name string) (File, error) // a new file; an error where there is one
	Open(name string) (File, error)   // for reading, from its start
	Remove(name string) error
	Close() error // removes all
}

// File is one of Files. A new one is written, an opened one read.
type File interface {
	io.ReadWriteSeeker
	io.Closer
}

// Store keeps the bytes of recordings, up to a number of bytes in all.
type Store struct {
	files Files
	limit int64
	used  atomic.Int64
}

// NewStore gives a store of at most limit bytes in files, which it closes.
func NewStore(files Files, limit int64) *Store { return &Store{files: files, limit: limit} }

// Close removes all that is in the store.
func (s *Store) Close() error { return s.files.Close() }

// Used gives how many bytes of recordings the store has now.
func (s *Store) Used() int64 { return s.used.Load() }

// Put takes the bytes of r into the store. It returns a *fault.Fault where the
// store or its disk is full or fails, and the error of r; nothing is left behind
// then.
func (s *Store) Put(r io.Reader) (*Upload, error) {
	u := &Upload{store: s, name: newID(), refs: 1}
	f, err := s.files.Create(u.name)
	if err != nil {
		return nil, diskFault(err)
	}
	_, err = io.Copy(&boundedWriter{f, u}, r)
	if closed := f.Close(); err == nil && closed != nil {
		err = diskFault(closed)
	}
	if err != nil {
		u.Release()
		return nil, err
	}
	return u, nil
}

// boundedWriter writes to the file of an upload as long as the store has room.
type boundedWriter struct {
	file File
	to   *Upload
}

// Write implements io.Writer. Its errors are *fault.Fault.
func (w *boundedWriter) Write(p []byte) (int, error) {
	s, n := w.to.store, int64(len(p))
	if s.used.Add(n) > s.limit {
		s.used.Add(-n)
		return 0, storeFull()
	}
	w.to.size += n
	written, err := w.file.Write(p)
	if err != nil {
		return written, diskFault(err)
	}
	return written, nil
}

// Upload is a recording in a Store. Whoever holds it calls Release once.
type Upload struct {
	store *Store
	name  string
	size  int64

	mu   sync.Mutex
	refs int

	making sync.Mutex // of the sound: long, and the queue waits for mu
	sound  bool       // its sound is there, too
}

// Size gives its bytes.
func (u *Upload) Size() int64 { return u.size }

// Open gives the recording for reading; the caller closes it.
func (u *Upload) Open() (File, error) { return u.store.files.Open(u.name) }

// Sound gives the sound that was measured, for reading; the caller closes it. The
// first call has write make it. It returns a *fault.Fault where there is no room
// for it, and the error of write.
func (u *Upload) Sound(write func(io.WriteSeeker) error) (File, error) {
	u.making.Lock()
	defer u.making.Unlock()
	if !u.sound {
		if err := u.makeSound(write); err != nil {
			return nil, err
		}
		u.sound = true
	}
	return u.store.files.Open(u.soundName())
}

// makeSound needs making.
func (u *Upload) makeSound(write func(io.WriteSeeker) error) error {
	f, err := u.store.files.Create(u.soundName())
	if err != nil {
		return diskFault(err)
	}
	err = write(&diskWriter{f})
	if closed := f.Close(); err == nil && closed != nil {
		err = diskFault(closed)
	}
	if err != nil {
		_ = u.store.files.Remove(u.soundName()) // the first error counts
	}
	return err
}

// diskWriter marks errors of writing as those of the disk, *fault.Fault.
type diskWriter struct{ File }

// Write implements io.Writer.
func (w *diskWriter) Write(p []byte) (int, error) {
	n, err := w.File.Write(p)
	if err != nil {
		return n, diskFault(err)
	}
	return n, nil
}

// Retain gives the recording to one holder more.
func (u *Upload) Retain() *Upload {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.refs++
	return u
}

// Release gives the recording up; with the last holder it is removed.
func (u *Upload) Release() {
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.refs--; u.refs > 0 {
		return
	}
	_ = u.store.files.Remove(u.name) // goes with the store at the latest
	if u.sound {                     // with no holder left nobody makes it now
		_ = u.store.files.Remove(u.soundName())
	}
	u.store.used.Add(-u.size)
}

func (u *Upload) soundName() string { return u.name + ".wav" }

// diskFault gives the fault of an error of Files.
func diskFault(err error) error {
	var own *fault.Fault
	if errors.As(err, &own) {
		return err
	}
	return diskFails(fmt.Errorf("web: storing a recording: %w", err))
}

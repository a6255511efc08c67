package live

import (
	"io"
	"sync"
)

// Feed is sound that somebody else puts in as it comes: Listen reads from it. The zero
// value is empty.
type Feed struct {
	mu    sync.Mutex
	more  *sync.Cond // the queue has grown, or has ended
	queue []byte     // not read yet
	ended bool
}

// lock locks the feed.
func (f *Feed) lock() {
	f.mu.Lock()
	if f.more == nil {
		f.more = sync.NewCond(&f.mu)
	}
}

// Add puts sound in, and reports false where more than most bytes would wait.
func (f *Feed) Add(sound []byte, most int) bool {
	f.lock()
	defer f.mu.Unlock()
	if len(f.queue)+len(sound) > most {
		return false
	}
	f.queue = append(f.queue, sound...)
	f.more.Signal()
	return true
}

// End says that no more comes.
func (f *Feed) End() {
	f.lock()
	defer f.mu.Unlock()
	f.ended = true
	f.more.Signal()
}

// Read implements io.Reader; it waits for sound.
func (f *Feed) Read(p []byte) (int, error) {
	f.lock()
	defer f.mu.Unlock()
	for len(f.queue) == 0 {
		if f.ended {
			return 0, io.EOF
		}
		f.more.Wait()
	}
	n := copy(p, f.queue)
	f.queue = f.queue[n:] // what grows past its end is moved then, and not with each read
	return n, nil
}

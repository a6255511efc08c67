package clip

import (
	"os"
	"time"
)

// openPipe opens a named pipe to read from, which waits until another program
// opens it to write, but here no longer than wait. The error is a *Problem.
func openPipe(path string, wait time.Duration) (*os.File, error) {
	type opened struct {
		file *os.File
		err  error
	}
	open, late := make(chan opened), make(chan struct{})
	go func() { // a writer that comes too late ends it
		f, err := os.Open(path)
		select {
		case open <- opened{f, err}:
		case <-late:
			f.Close() // only read from; nil where it was not opened
		}
	}()
	select {
	case o := <-open:
		if o.err != nil {
			return nil, sayOpen(o.err)
		}
		return o.file, nil
	case <-time.After(wait):
		close(late)
		return nil, sayNoWriter(wait)
	}
}

package clip

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"slices"
)

// input is a recording as a decoder gets it: its bytes in order, and for a
// program that wants to seek in them, the way to a file.
type input struct {
	*bufio.Reader // over src
	src           *source
	from          io.Reader // what src reads
	o             Options
	kind          kind

	kept   []byte // the bytes from marked on, as many as the buffer held
	marked int64
}

// taken gives how many bytes have been taken out of the input.
func (in *input) taken() int64 { return in.src.read - int64(in.Buffered()) }

// mark keeps what comes next, so that rest can begin with it.
func (in *input) mark() {
	ahead, _ := in.Peek(readAhead) // what is wrong shows again when it is read
	in.kept, in.marked = slices.Clone(ahead), in.taken()
}

// rest gives the bytes from the mark on; nil when too many have been taken
// since then.
func (in *input) rest() io.Reader {
	n := in.taken() - in.marked
	if n > int64(len(in.kept)) {
		return nil
	}
	return io.MultiReader(bytes.NewReader(in.kept[:n]), in.Reader)
}

// ffmpeg gives the path of ffmpeg.
func (in *input) ffmpeg() (string, error) {
	if in.o.FFmpeg == "" {
		return "", exec.ErrNotFound
	}
	return exec.LookPath(in.o.FFmpeg)
}

// lent is a file that another program reads from its start.
type lent struct {
	*os.File
	remove bool // on Close, as well
}

// Close implements io.Closer.
func (l lent) Close() error {
	err := l.File.Close()
	if l.remove {
		err = errors.Join(err, os.Remove(l.Name()))
	}
	return err
}

// handToChild gives the recording, which is what, as a file that nothing here reads:
// the same once more, or a private copy where it came through a pipe.
func (in *input) handToChild(what string) (lent, error) {
	if f := in.reopen(); f != nil {
		return lent{File: f}, nil
	}
	rest := in.rest()
	if rest == nil {
		return lent{}, sayNoPipe(what)
	}
	f, err := os.CreateTemp("", "topnote-*") // for our eyes only, as CreateTemp does
	if err != nil {
		return lent{}, sayNoRoom(err)
	}
	l := lent{File: f, remove: !hide(f)}
	_, err = io.Copy(f, rest)
	var known *Problem
	if err != nil && !errors.As(err, &known) {
		err = sayNoRoom(err)
	}
	if err == nil {
		if _, err = f.Seek(0, io.SeekStart); err != nil {
			err = sayNoRoom(err)
		}
	}
	if err != nil {
		l.Close() // the copy is not wanted any more
		return lent{}, err
	}
	return l, nil
}

// reopen opens the file that is being read a second time, from its start; nil
// where that cannot be.
func (in *input) reopen() *os.File {
	f, ok := in.from.(*os.File)
	if !ok {
		return nil
	}
	is, err := f.Stat()
	if err != nil || !is.Mode().IsRegular() {
		return nil
	}
	if at, err := f.Seek(0, io.SeekCurrent); err != nil || at != in.src.read {
		return nil // it was not read from its start
	}
	again, err := os.Open(f.Name())
	if err != nil {
		return nil
	}
	// On some systems the name of standard input opens the same file at the same
	// place: then both would move.
	opened, err := again.Stat()
	at, atErr := again.Seek(0, io.SeekCurrent)
	if err != nil || atErr != nil || at != 0 || !os.SameFile(is, opened) {
		again.Close() // only read from
		return nil
	}
	return again
}

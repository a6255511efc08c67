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

// input is a recording as a decoder gets it: a buffered reader that can also
// provide a file, for ffmpeg, which seeks.
type input struct {
	*bufio.Reader // over src
	src           *source
	from          io.Reader // what src reads
	o             Options
	kind          kind

	kept   []byte // bytes from marked on, as many as were buffered
	marked int64
}

// taken gives how many bytes have been read from the input.
func (in *input) taken() int64 { return in.src.read - int64(in.Buffered()) }

// mark keeps a copy of the bytes that follow, so that rest can begin with them.
func (in *input) mark() {
	n := readAhead
	if in.o.Block > 0 { // a sound that is still coming does not wait
		n = in.Buffered()
	}
	ahead, _ := in.Peek(n) // an error comes again when they are read
	in.kept, in.marked = slices.Clone(ahead), in.taken()
}

// rest gives a reader of the bytes from the mark on; nil when more have been read
// since then than were kept.
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

// childFile is a file that ffmpeg reads from its start.
type childFile struct {
	*os.File
	remove bool // the file on Close
}

// Close implements io.Closer.
func (l childFile) Close() error {
	err := l.File.Close()
	if l.remove {
		err = errors.Join(err, os.Remove(l.Name()))
	}
	return err
}

// handToChild gives the recording as a file for ffmpeg: the same file opened again,
// or a private copy where it came through a pipe. what is its kind, for errors.
func (in *input) handToChild(what string) (childFile, error) {
	if f := in.reopen(); f != nil {
		return childFile{File: f}, nil
	}
	rest := in.rest()
	if rest == nil {
		return childFile{}, sayNoPipe(what)
	}
	f, err := os.CreateTemp("", "topnote-*") // readable by this user alone
	if err != nil {
		return childFile{}, sayNoRoom(err)
	}
	l := childFile{File: f, remove: !hide(f)}
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
		l.Close() // the first error counts
		return childFile{}, err
	}
	return l, nil
}

// reopen opens the file that is being read once more, at its start; nil where that
// is not possible.
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
	// On some systems the name of standard input opens the same file description:
	// then reading one would move the other.
	opened, err := again.Stat()
	at, atErr := again.Seek(0, io.SeekCurrent)
	if err != nil || atErr != nil || at != 0 || !os.SameFile(is, opened) {
		again.Close() // only read from
		return nil
	}
	return again
}

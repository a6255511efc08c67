package main

import (
	"bufio"
	"crypto/rand"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"topnote/internal/clip"
)

// writeFile writes a file whole or not at all: it writes a temporary file beside it
// and renames that. A link is followed, so that its target is replaced. A recording
// or anything but a regular file is never replaced: a recording that came through a
// pipe has no name to compare with.
func writeFile(path string, write func(io.Writer) error) error {
	target := path
	if followed, err := filepath.EvalSymlinks(path); err == nil {
		target = followed
	}
	switch info, err := os.Stat(target); {
	case err != nil: // most often it is not there yet; other errors come back from writing
	case !info.Mode().IsRegular():
		return refuseNotAFile(path)
	case clip.IsRecording(target):
		return refuseOverRecording(path)
	}
	f, err := createTemp(target)
	if err != nil {
		return saysCannotWrite(path, withoutPath(err))
	}
	err = writeAndClose(f, write)
	if err == nil {
		err = os.Rename(f.Name(), target)
	}
	if err != nil {
		os.Remove(f.Name())
		return saysCannotWrite(path, withoutPath(err))
	}
	return nil
}

// createTemp creates a temporary file in the folder of path, with the permissions
// of any new file there.
func createTemp(path string) (*os.File, error) {
	const mode = 0o666 // less the umask
	name := filepath.Join(filepath.Dir(path), ".topnote-"+rand.Text())
	return os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
}

// writeAndClose writes f to the disk and closes it.
func writeAndClose(f *os.File, write func(io.Writer) error) error {
	out := bufio.NewWriter(f)
	err := write(out)
	if err == nil {
		err = out.Flush()
	}
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// withoutPath takes the path out of an error of the system: the temporary file's
// name would mean nothing to the user, and the line names the file already.
func withoutPath(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}

// sameFile reports whether two paths are one file, whether it exists or not.
func sameFile(a, b string) bool {
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	if errA == nil && errB == nil {
		return os.SameFile(infoA, infoB)
	}
	absA, errA := filepath.Abs(a)
	absB, errB := filepath.Abs(b)
	return errA == nil && errB == nil && absA == absB
}

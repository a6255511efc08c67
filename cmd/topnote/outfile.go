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

// writeFile writes a file whole or not at all: into a new file beside it, which
// then takes its name. A link is followed, so that what it points to is
// replaced. What is there and is a recording, or not a plain file, is left alone:
// a recording that came through a pipe has no name to compare with.
func writeFile(path string, write func(io.Writer) error) error {
	target := path
	if followed, err := filepath.EvalSymlinks(path); err == nil {
		target = followed
	}
	switch info, err := os.Stat(target); {
	case err != nil: // most often it is not there yet; what else is wrong, writing says
	case !info.Mode().IsRegular():
		return refuseNotAFile(path)
	case clip.IsRecording(target):
		return refuseOverRecording(path)
	}
	f, err := createBeside(target)
	if err != nil {
		return saysCannotWrite(path, cause(err))
	}
	err = fill(f, write)
	if err == nil {
		err = os.Rename(f.Name(), target)
	}
	if err != nil {
		os.Remove(f.Name()) // what is left of it is of no use to anybody
		return saysCannotWrite(path, cause(err))
	}
	return nil
}

// createBeside opens a new file in the folder of path, with the permissions
// that any new file there would have.
func createBeside(path string) (*os.File, error) {
	const mode = 0o666 // the system takes away what the user does not give
	name := filepath.Join(filepath.Dir(path), ".topnote-"+rand.Text())
	return os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
}

// fill writes f to the disk and closes it.
func fill(f *os.File, write func(io.Writer) error) error {
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

// cause takes the name of the file out of what the system says: the line that
// it ends up in names the file that the user knows.
func cause(err error) error {
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

// samePlace reports whether two names stand for one file, there or not.
func samePlace(a, b string) bool {
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	if errA == nil && errB == nil {
		return os.SameFile(infoA, infoB)
	}
	absA, errA := filepath.Abs(a)
	absB, errB := filepath.Abs(b)
	return errA == nil && errB == nil && absA == absB
}

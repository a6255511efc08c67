// Command pack packs a folder into an archive: .zip, or .tar.gz for any other
// name. The same files give the same bytes: names in order, no owners, and for
// the time of each file SOURCE_DATE_EPOCH.
//
//	go run .ci/pack.go FOLDER ARCHIVE
package main

import (
	"archive/tar"
	"archive/zip"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

func main() {
	if err := pack(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "pack:", err)
		os.Exit(1)
	}
}

// writer is what adds a file to an archive of either kind.
type writer interface {
	add(name string, mode fs.FileMode, size int64, at time.Time) (io.Writer, error)
	Close() error
}

func pack(args []string) error {
	if len(args) != 2 {
		return errors.New("name a folder and an archive")
	}
	folder, archive := args[0], args[1]
	seconds, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64)
	if err != nil {
		return fmt.Errorf("SOURCE_DATE_EPOCH: %w", err)
	}
	at := time.Unix(seconds, 0).UTC()
	f, err := os.Create(archive)
	if err != nil {
		return err
	}
	var w writer
	if strings.HasSuffix(archive, ".zip") {
		w = zipped{zip.NewWriter(f)}
	} else {
		w = newTarred(f)
	}
	err = filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error { // in order of name
		if err != nil || d.IsDir() {
			return err
		}
		return addFile(w, path, filepath.Join(filepath.Base(folder), strings.TrimPrefix(path, folder)), at)
	})
	return errors.Join(err, w.Close(), f.Close())
}

func addFile(w writer, path, name string, at time.Time) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	mode := fs.FileMode(0o644) // whatever the mask of whoever packs it
	if info.Mode()&0o100 != 0 {
		mode = 0o755
	}
	from, err := os.Open(path)
	if err != nil {
		return err
	}
	defer from.Close() // only read from
	to, err := w.add(filepath.ToSlash(name), mode, info.Size(), at)
	if err != nil {
		return err
	}
	_, err = io.Copy(to, from)
	return err
}

type zipped struct{ *zip.Writer }

func (z zipped) add(name string, mode fs.FileMode, _ int64, at time.Time) (io.Writer, error) {
	h := &zip.FileHeader{Name: name, Method: zip.Deflate, Modified: at}
	h.SetMode(mode)
	return z.CreateHeader(h)
}

type tarred struct {
	*tar.Writer
	gz *gzip.Writer
}

func newTarred(to io.Writer) tarred {
	gz := gzip.NewWriter(to) // without a name and a time of its own
	return tarred{tar.NewWriter(gz), gz}
}

func (t tarred) add(name string, mode fs.FileMode, size int64, at time.Time) (io.Writer, error) {
	return t, t.WriteHeader(&tar.Header{Name: name, Mode: int64(mode), Size: size, ModTime: at, Format: tar.FormatPAX})
}

func (t tarred) Close() error { return errors.Join(t.Writer.Close(), t.gz.Close()) }

package book

import (
	"io"
	"net/url"
	"time"

	"topnote/internal/sqlite"
)

// The file of a book in the private storage of a browser, which one page holds at
// a time.

// identity: nobody else can replace the file.
type identity struct{}

// inspect returns a *Problem for a path where there is no book.
func inspect(path string) error {
	there, err := sqlite.Exists(path)
	if err != nil {
		return problemDatabase(path, 0, err)
	}
	if !there {
		return problemNoBook(path)
	}
	return nil
}

func create(path string) (*Book, error) { return open(path, defaultBusyTimeout) }

func open(path string, busyTimeout time.Duration) (*Book, error) {
	b := &Book{path: path, busyTimeout: busyTimeout, clock: time.Now}
	if err := b.connect("rw", ""); err != nil {
		return nil, err
	}
	return b, nil
}

// dataSourceName gives the URI by which the driver opens the file.
func (b *Book) dataSourceName(string) (string, error) {
	options := url.Values{"_pragma": {"foreign_keys(1)", "synchronous(full)"}} // a stored pass survives a flat battery
	return (&url.URL{Scheme: "file", OmitHost: true, Path: b.path, RawQuery: options.Encode()}).String(), nil
}

func (b *Book) replaced() error { return nil }

// WriteFile writes the whole book as the bytes of a file that can be opened as a
// book. An error of w comes back as it is.
func (b *Book) WriteFile(w io.Writer) error {
	if err := b.read(verifyAll); err != nil {
		return err
	}
	bytes, err := sqlite.ReadFile(b.path)
	if err != nil {
		return b.problem(err)
	}
	_, err = w.Write(bytes)
	return err
}

// openBytes opens a copy of the bytes of a book. The caller calls end.
func openBytes(r io.Reader) (b *Book, end func(), err error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, nil, problemImportRead(err)
	}
	const path = "/" + importName
	_ = sqlite.Remove(path) // left by a page that was closed in the middle
	if err := sqlite.WriteFile(path, text); err != nil {
		return nil, nil, problemDatabase(path, 0, err)
	}
	b, err = Open(path)
	if err != nil {
		_ = sqlite.Remove(path) // the first error counts
		return nil, nil, err
	}
	return b, func() { _ = b.Close(); _ = sqlite.Remove(path) }, nil
}

package books

import (
	"io"

	"topnote/internal/book"
)

// Export writes the whole book as JSON.
func (s *Shared) Export(w io.Writer) error {
	b, err := s.read()
	if err != nil {
		return err
	}
	return b.Export(w)
}

// Carried says which recordings Export carries.
func (s *Shared) Carried() (book.Carried, error) {
	b, err := s.read()
	if err != nil {
		return book.Carried{}, err
	}
	return b.Carried()
}

// WriteFile writes the whole book as the bytes of a file of its own.
func (s *Shared) WriteFile(w io.Writer) error {
	b, err := s.read()
	if err != nil {
		return err
	}
	return b.WriteFile(w)
}

// Import adds what Export or WriteFile wrote, and makes the book where there is none.
// Nothing is added where a part of it cannot be.
func (s *Shared) Import(r io.Reader) (book.Imported, error) {
	x, err := book.ReadExport(r)
	if err != nil {
		return book.Imported{}, err // before a book is made for it
	}
	b, err := s.write()
	if err != nil {
		return book.Imported{}, err
	}
	return b.Import(x, false)
}

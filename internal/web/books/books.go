// Package books is the book as the server uses it: one book for all requests,
// opened when it is first wanted, and made when the first machine is entered.
//
// It knows nothing of HTTP; its errors are those of package book, or *fault.Fault.
// Start with New.
package books

import (
	"errors"
	"strconv"
	"sync"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/report"
)

// Shared is the book of the server. Its methods may be called from any goroutine.
type Shared struct {
	path string
	mu   sync.Mutex
	open *book.Book // nil: not yet
}

// New gives the book that is, or will be, at path. The caller closes it.
func New(path string) *Shared { return &Shared{path: path} }

// Close closes the book where it is open.
func (s *Shared) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open == nil {
		return nil
	}
	return s.open.Close()
}

// read gives the book that is there; a *book.Problem where there is none.
func (s *Shared) read() (*book.Book, error) { return s.with(book.Open) }

// write gives the book, and makes it where there is none.
func (s *Shared) write() (*book.Book, error) { return s.with(book.Create) }

func (s *Shared) with(open func(string) (*book.Book, error)) (*book.Book, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open != nil {
		return s.open, nil
	}
	opened, err := open(s.path)
	if err == nil {
		s.open = opened
	}
	return opened, err
}

// Machines gives the machines of the book; none where there is no book yet.
func (s *Shared) Machines() ([]book.Machine, error) {
	b, err := s.read()
	if errors.Is(err, book.ErrNoBook) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return b.Machines()
}

// Machine gives the machine of a name.
func (s *Shared) Machine(name string) (book.Machine, error) {
	_, m, err := s.find(name)
	return m, err
}

// find gives the open book and the machine of a name in it.
func (s *Shared) find(name string) (*book.Book, book.Machine, error) {
	b, err := s.read()
	if err != nil {
		return nil, book.Machine{}, err
	}
	m, err := b.Machine(name)
	return b, m, err
}

// Query gives what the machine of a name is measured as, and its name as the book
// has it.
func (s *Shared) Query(name string) (engine.Machine, string, error) {
	m, err := s.Machine(name)
	return report.Query(m.Engine, m.Limits), m.Name, err
}

// Edits gives a machine with what was changed in it, the oldest first.
func (s *Shared) Edits(name string) (book.Machine, []book.Edit, error) {
	b, m, err := s.find(name)
	if err != nil {
		return book.Machine{}, nil, err
	}
	edits, err := b.History(m.Name)
	return m, edits, err
}

// Passes gives a machine with its passes, in the order of their days.
func (s *Shared) Passes(name string) (book.Machine, []book.Pass, error) {
	b, m, err := s.find(name)
	if err != nil {
		return book.Machine{}, nil, err
	}
	passes, err := b.Passes(m.Name)
	return m, passes, err
}

// Pass gives a machine and one of its passes by the number that an address has.
func (s *Shared) Pass(name, number string) (book.Machine, book.Pass, error) {
	n, err := strconv.ParseInt(number, 10, 64)
	if err != nil {
		return book.Machine{}, book.Pass{}, noPass()
	}
	b, m, err := s.find(name)
	if err != nil {
		return book.Machine{}, book.Pass{}, err
	}
	p, err := b.Pass(n)
	if err == nil && p.Machine != m.Name {
		err = noPass()
	}
	return m, p, err
}

// AddMachine enters a machine, and makes the book for it where there is none. A
// machine without an engine gets a two-stroke single. It gives the machine as it
// was entered.
func (s *Shared) AddMachine(m book.Machine) (book.Machine, error) {
	if m.Engine.Strokes == 0 && m.Engine.Cylinders == 0 {
		m.Engine.Strokes, m.Engine.Cylinders = engine.TwoStrokeSingle.Strokes, engine.TwoStrokeSingle.Cylinders
	}
	if err := entry.Check(report.Query(m.Engine, m.Limits)); err != nil {
		return m, err
	}
	if err := m.Check(); err != nil {
		return m, err
	}
	b, err := s.write()
	if err != nil {
		return m, err
	}
	return m, b.AddMachine(m)
}

// EditMachine replaces the machine of a name by after, whose engine, where it has
// none, stays the one before. who is noted with it. It gives the machine as it was
// entered.
func (s *Shared) EditMachine(name, who string, after book.Machine) (book.Machine, error) {
	b, err := s.read()
	if err != nil {
		return after, err
	}
	err = b.EditMachine(name, who, func(before book.Machine) (book.Machine, error) {
		if after.Engine.Strokes == 0 && after.Engine.Cylinders == 0 {
			after.Engine.Strokes, after.Engine.Cylinders = before.Engine.Strokes, before.Engine.Cylinders
		}
		return after, entry.Check(report.Query(after.Engine, after.Limits))
	})
	return after, err
}

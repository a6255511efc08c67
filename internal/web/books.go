package web

import (
	"errors"
	"strconv"
	"sync"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/report"
)

// books is the book, opened when it is first wanted and made when the first
// machine is entered.
type books struct {
	path string
	mu   sync.Mutex
	open *book.Book
}

// read gives the book that is there; a *book.Problem where there is none.
func (b *books) read() (*book.Book, error) { return b.with(book.Open) }

// write gives the book, and makes it where there is none.
func (b *books) write() (*book.Book, error) { return b.with(book.Create) }

func (b *books) with(open func(string) (*book.Book, error)) (*book.Book, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.open != nil {
		return b.open, nil
	}
	opened, err := open(b.path)
	if err == nil {
		b.open = opened
	}
	return opened, err
}

func (b *books) close() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.open == nil {
		return nil
	}
	return b.open.Close()
}

// machines gives the machines of the book; none where there is no book yet.
func (s *Server) machines() ([]book.Machine, error) {
	b, err := s.books.read()
	if errors.Is(err, book.ErrNoBook) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return b.Machines()
}

// machine gives the machine of a name.
func (s *Server) machine(name string) (book.Machine, error) {
	b, err := s.books.read()
	if err != nil {
		return book.Machine{}, err
	}
	return b.Machine(name)
}

// passes gives a machine with its passes, in the order of their days.
func (s *Server) passes(name string) (book.Machine, []book.Pass, error) {
	b, err := s.books.read()
	if err != nil {
		return book.Machine{}, nil, err
	}
	m, err := b.Machine(name)
	if err != nil {
		return book.Machine{}, nil, err
	}
	passes, err := b.Passes(m.Name)
	return m, passes, err
}

// pass gives a machine and one of its passes by the number that an address has.
func (s *Server) pass(name, number string) (book.Machine, book.Pass, error) {
	n, err := strconv.ParseInt(number, 10, 64)
	if err != nil {
		return book.Machine{}, book.Pass{}, faultOtherMachine()
	}
	b, err := s.books.read()
	if err != nil {
		return book.Machine{}, book.Pass{}, err
	}
	m, err := b.Machine(name)
	if err != nil {
		return book.Machine{}, book.Pass{}, err
	}
	p, err := b.Pass(n)
	if err == nil && p.Machine != m.Name {
		err = faultOtherMachine()
	}
	return m, p, err
}

// enterMachine enters a machine, and makes the book for it where there is none.
func (s *Server) enterMachine(m book.Machine) (book.Machine, error) {
	if m.Engine == (report.Engine{}) {
		m.Engine = report.Engine(engine.TwoStrokeSingle)
	}
	if err := measure.Check(report.Query(m.Engine, m.Limits)); err != nil {
		return m, err
	}
	if err := m.Check(); err != nil {
		return m, err
	}
	b, err := s.books.write()
	if err != nil {
		return m, err
	}
	return m, b.AddMachine(m)
}

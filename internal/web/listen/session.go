package listen

import (
	"context"
	"encoding/json"
	"sync"
	"time"

	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/needle"
	"topnote/internal/web/fault"
)

// session is one page that listens: a queue of sound, the work, and what it told.
type session struct {
	rate    int
	machine engine.Machine
	cancel  context.CancelFunc
	keep    time.Duration
	sound   live.Feed // raw

	mu      sync.Mutex
	rows    [][]byte    // messages, all of them
	out     chan []byte // of the socket; nil: none
	forget  *time.Timer // running while there is no socket
	problem []byte      // why the work has ended, where it was a fault
	done    bool
}

// newSession starts the work of a session. gone is called once it has
// ended, before the page is told.
func newSession(rate int, machine engine.Machine, keep time.Duration, gone func(error)) *session {
	ctx, cancel := context.WithCancel(context.Background())
	s := &session{rate: rate, machine: machine, cancel: cancel, keep: keep}
	s.forget = time.AfterFunc(keep, s.end)
	go func() {
		err := s.work(ctx)
		cancel()
		gone(err) // first: a page that hears the end may open the next session at once
		s.finished(err)
	}()
	return s
}

// work listens until the sound ends.
func (s *session) work(ctx context.Context) error {
	o := live.Default(s.machine)
	o.Name, o.Rate = "live", s.rate
	return live.Listen(ctx, &s.sound, o, live.Handler{
		Reading: func(r needle.Reading) error { return s.tell(live.JSON(r), false) },
		Row:     func(r live.Row) error { return s.tell(r.JSON(s.machine.Ceiling()), true) },
	})
}

// tell sends a message, where there is a socket that takes it: a reading that comes too
// late is of no use, and rows are sent again with the next socket.
func (s *session) tell(v any, row bool) error {
	message, err := json.Marshal(v)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if row {
		s.rows = append(s.rows, message)
	}
	s.send(message)
	return nil
}

// send puts a message into the channel of the socket. s.mu is held.
func (s *session) send(message []byte) {
	if s.out == nil {
		return
	}
	select {
	case s.out <- message:
	default:
	}
}

// end gives the session up.
func (s *session) end() {
	s.sound.End()
	s.cancel()
}

// attach makes the channel of a new socket, with the rows so far in it. An older
// socket is ended.
func (s *session) attach() chan []byte {
	const ahead = 256 // messages: some seconds of readings
	s.mu.Lock()
	defer s.mu.Unlock()
	s.forget.Stop()
	if s.out != nil {
		close(s.out)
	}
	out := make(chan []byte, ahead+len(s.rows))
	s.out = out
	for _, row := range s.rows {
		s.send(row)
	}
	if s.done {
		s.hangUp()
	}
	return out
}

// detach forgets a socket; the session waits for the next one.
func (s *session) detach(out chan []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.out != out {
		return
	}
	close(s.out)
	s.out = nil
	if !s.done {
		s.forget.Reset(s.keep)
	}
}

// finished tells the page that the work has ended, and why.
func (s *session) finished(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.done = true
	s.forget.Stop()
	if err != nil {
		s.problem = problemOf(fault.Of(err))
	}
	s.hangUp()
}

// hangUp ends the socket. s.mu is held.
func (s *session) hangUp() {
	if s.out == nil {
		return
	}
	if s.problem != nil {
		s.send(s.problem)
	}
	close(s.out)
	s.out = nil
}

// Package listen is the live view's end at the server: sound from the microphone of a
// page comes in through a WebSocket, and readings and rows go back (package live).
//
// A session outlives its socket, so that a phone that loses the network for a moment
// goes on where it was: the page keeps what it could not send, and gets the rows again.
// What comes is put into a queue at once and taken from there by the work, so that
// nobody waits for anybody and nothing falls behind. Start with Sessions.Register.
//
// Source: RFC 6455 (WebSocket).
package listen

import (
	"context"
	"encoding/json"
	"log"
	"net/http"
	"sync"
	"time"

	"github.com/coder/websocket"

	"topnote/internal/engine"
	"topnote/internal/web/fault"
)

// Options limits what sessions may cost.
type Options struct {
	Sessions int           // at once
	Keep     time.Duration // of a session without a socket
	Queue    int           // bytes of sound that wait to be taken: far more than a moment
	Message  int64         // bytes of one message
}

// DefaultOptions gives the limits in use.
func DefaultOptions() Options {
	return Options{Sessions: 8, Keep: 5 * time.Minute, Queue: 8 << 20, Message: 1 << 20}
}

// Sessions holds the sessions of a server.
type Sessions struct {
	Options Options
	// Machine reads the fields of an engine: jobs.Intake.Query.
	Machine func(fields map[string]string) (engine.Machine, string, error)
	Log     *log.Logger

	mu     sync.Mutex
	closed bool
	all    map[string]*session
}

// Register adds the socket to mux.
func (s *Sessions) Register(mux *http.ServeMux) { mux.HandleFunc("GET /live/sound", s.serve) }

// Close ends all sessions.
func (s *Sessions) Close() {
	s.mu.Lock()
	s.closed = true
	all := s.all
	s.all = nil
	s.mu.Unlock()
	for _, one := range all {
		one.end()
	}
}

// hello is the first message of a page.
type hello struct {
	Session string            `json:"session"` // drawn by the page at random; the same again goes on with it
	Rate    int               `json:"rate"`    // samples a second
	Engine  map[string]string `json:"engine"`  // the fields of a form
}

// problem is what the page is told when it cannot go on.
type problem struct {
	Kind string `json:"kind"` // "problem"
	Code string `json:"code"` // of the fault
	Says string `json:"says"`
}

func problemOf(f *fault.Fault) []byte {
	message, _ := json.Marshal(problem{"problem", f.Code, f.Sentence()}) // of strings: cannot fail
	return message
}

// serve talks to one page until it goes.
func (s *Sessions) serve(w http.ResponseWriter, r *http.Request) {
	conn, err := websocket.Accept(w, r, nil)
	if err != nil {
		return // it has answered
	}
	defer conn.CloseNow() // does nothing after a proper end
	conn.SetReadLimit(s.Options.Message)
	ctx, cancel := context.WithCancel(r.Context())
	defer cancel()
	one, err := s.greet(ctx, conn)
	if err != nil {
		s.refuse(ctx, conn, err)
		return
	}
	out := one.attach()
	defer one.detach(out)
	go func() {
		defer cancel()
		for message := range out {
			if conn.Write(ctx, websocket.MessageText, message) != nil {
				return
			}
		}
		_ = conn.Close(websocket.StatusNormalClosure, "") // it may have gone
	}()
	for {
		kind, data, err := conn.Read(ctx)
		if err != nil {
			return
		}
		if kind == websocket.MessageText { // the page says that it is done
			one.sound.End() // what is open is measured
		} else if !one.sound.Add(data, s.Options.Queue) {
			s.refuse(ctx, conn, tooMuch())
			return
		}
	}
}

// greet reads the first message and gives its session.
func (s *Sessions) greet(ctx context.Context, conn *websocket.Conn) (*session, error) {
	const patience = 10 * time.Second
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	_, data, err := conn.Read(ctx)
	if err != nil {
		return nil, noHello()
	}
	var h hello
	const shortest, longest = 16, 64 // of a name that nobody guesses
	if json.Unmarshal(data, &h) != nil || len(h.Session) < shortest || len(h.Session) > longest {
		return nil, noHello()
	}
	return s.open(h)
}

// open gives the session of a page: a new one, or the one that it had.
func (s *Sessions) open(h hello) (*session, error) {
	machine, _, err := s.Machine(h.Engine)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if old := s.all[h.Session]; old != nil {
		if old.rate == h.Rate {
			return old, nil
		}
		old.end() // the page has another microphone
		delete(s.all, h.Session)
	}
	switch {
	case s.closed:
		return nil, stopping()
	case len(s.all) >= s.Options.Sessions:
		return nil, tooMany()
	}
	if s.all == nil {
		s.all = map[string]*session{}
	}
	var one *session
	one = newSession(h.Rate, machine, s.Options.Keep, func(err error) {
		s.mu.Lock()
		if s.all[h.Session] == one { // not the one that took its place
			delete(s.all, h.Session)
		}
		s.mu.Unlock()
		if err != nil {
			fault.Log(s.Log, err)
		}
	})
	s.all[h.Session] = one
	return one, nil
}

// refuse tells the page why it cannot go on, and ends the socket.
func (s *Sessions) refuse(ctx context.Context, conn *websocket.Conn, err error) {
	message := problemOf(fault.Log(s.Log, err))
	if conn.Write(ctx, websocket.MessageText, message) == nil {
		_ = conn.Close(websocket.StatusPolicyViolation, "refused") // it may have gone
	}
}

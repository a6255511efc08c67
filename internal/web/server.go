package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"time"
)

// Config says what a server is to be.
type Config struct {
	Listen  string    // HOST:PORT; port 0 lets the system choose
	LAN     bool      // others than this machine may reach it, with the code
	TLS     bool      // with a certificate made on the spot
	Book    string    // the file of the book
	Version string    // of the program
	Temp    string    // below which the folder for recordings is made; "": the system's
	Log     io.Writer // for faults of the program; nil: nowhere
	Options Options
}

// Problem is why a server cannot be had, in words for people: two halves of one
// sentence, without a full stop.
type Problem struct {
	Says, Do string
	Usage    bool  // what was asked for makes no sense, whatever the machine
	cause    error // nil: none
}

// Error gives both halves on one line.
func (p *Problem) Error() string { return p.Says + "; " + p.Do }

// Unwrap gives the cause.
func (p *Problem) Unwrap() error { return p.cause }

// Server is a server that is ready to run. It holds a folder for recordings
// until it is closed.
type Server struct {
	config Config
	o      Options
	log    *log.Logger
	store  *store
	desk   *queue
	books  *books
	gate   *authenticator // nil: open to all who reach it
	names  []string       // that it is called by in its network
	draw   chan struct{}  // holds as many as may draw at once
}

// New makes a server. The caller runs it with Run, which closes it, or takes its
// Handler and calls Close. The error is a *Problem.
func New(c Config) (*Server, error) {
	if err := checkListen(c); err != nil {
		return nil, err
	}
	if c.Temp == "" {
		c.Temp = os.TempDir()
	}
	if c.Log == nil {
		c.Log = io.Discard
	}
	kept, err := openStore(c.Temp, c.Options.KeptBytes+c.Options.MaxBody)
	if err != nil {
		return nil, problemStore(c.Temp, err)
	}
	s := &Server{
		config: c, o: c.Options, log: log.New(c.Log, "topnote: ", 0), store: kept,
		books: &books{path: c.Book}, names: ownNames(), draw: make(chan struct{}, c.Options.Workers),
	}
	s.desk = newDesk(c.Options, time.Now, s.log)
	if c.LAN {
		s.gate = newGate(c.Options, time.Now, c.TLS)
	}
	return s, nil
}

// Close gives all work up, closes the book and removes the recordings.
func (s *Server) Close() error {
	s.desk.close(s.o.StopTime)
	return errors.Join(s.books.close(), s.store.close())
}

// Handler answers all requests, the page's and the API's.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	s.routeAPI(mux)
	s.routePages(mux)
	return s.guard(mux)
}

// Run listens and serves until ctx ends, then closes the server. Once it listens
// it calls announce with where it can be found; an error of announce ends it. The
// error is nil after a clean stop, and a *Problem where the server cannot listen.
func (s *Server) Run(ctx context.Context, announce func(Place) error) (err error) {
	defer func() { err = errors.Join(err, s.Close()) }()
	l, err := net.Listen("tcp", s.config.Listen)
	if err != nil {
		return problemListen(s.config.Listen, err)
	}
	l = limitConns(l, s.o.Conns)
	place, secure, err := s.place(l.Addr())
	if err != nil {
		return errors.Join(err, l.Close())
	}
	server := &http.Server{
		Handler:           s.Handler(),
		TLSConfig:         secure,
		ReadHeaderTimeout: s.o.HeaderTime,
		ReadTimeout:       s.o.BodyTime,
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    maxHeader,
		ErrorLog:          log.New(io.Discard, "", 0), // handshakes that fail are nobody's business; panics are logged in guard
	}
	if err := announce(place); err != nil {
		return errors.Join(err, l.Close())
	}
	return s.serve(ctx, server, l)
}

// maxHeader is the size of the header of a request, bytes.
const maxHeader = 32 << 10

// serve serves until ctx ends, and lets answers that are under way end.
func (s *Server) serve(ctx context.Context, server *http.Server, l net.Listener) error {
	failed := make(chan error, 1)
	go func() {
		if server.TLSConfig != nil {
			failed <- server.ServeTLS(l, "", "")
		} else {
			failed <- server.Serve(l)
		}
	}()
	select {
	case err := <-failed:
		return fmt.Errorf("web: serving: %w", err)
	case <-ctx.Done():
	}
	s.desk.end() // whoever waits for a result is told
	grace, cancel := context.WithTimeout(context.Background(), s.o.StopTime)
	defer cancel()
	if server.Shutdown(grace) != nil {
		_ = server.Close() // those that did not end in time
	}
	<-failed
	return nil
}

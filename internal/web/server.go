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

	"topnote/internal/parallel"
	"topnote/internal/web/access"
	"topnote/internal/web/api"
	"topnote/internal/web/books"
	"topnote/internal/web/jobs"
	"topnote/internal/web/listen"
	"topnote/internal/web/offline"
	"topnote/internal/web/page"
)

// Config describes a server.
type Config struct {
	Listen  string    // HOST:PORT; port 0 lets the system choose
	LAN     bool      // others than this machine may reach it, with the code
	TLS     bool      // with a certificate made on the spot
	Book    string    // the file of the book
	Version string    // of the program
	Temp    string    // below which the folder for recordings is made; "": the system's
	Log     io.Writer // for faults of the program; nil: nowhere
	Options Options

	files jobs.Files // for recordings; nil: a folder below Temp
	work  jobs.Work  // measures; nil: jobs.Measure
}

// Server is a server that is ready to serve. It holds a folder for recordings
// until it is closed.
type Server struct {
	config Config
	log    *log.Logger
	store  *jobs.Store
	queue  *jobs.Queue
	books  *books.Shared
	api    *api.API
	pages  *page.Pages
	guard  *access.Guard
	live   *listen.Sessions
}

// New makes a server. The caller serves with Serve, which closes it, or takes its
// Handler and calls Close. The error is an *access.Problem.
func New(c Config) (*Server, error) {
	if err := access.CheckListen(c.Listen, c.LAN); err != nil {
		return nil, err
	}
	if c.Log == nil {
		c.Log = io.Discard
	}
	if c.work == nil {
		c.work = jobs.Measure(c.Options.Jobs)
	}
	if c.files == nil {
		temp := c.Temp
		if temp == "" {
			temp = os.TempDir()
		}
		folder, err := jobs.OpenFolder(temp)
		if err != nil {
			return nil, noFolder(temp, err)
		}
		c.files = folder
	}
	s := &Server{
		config: c, log: log.New(c.Log, "topnote: ", 0), books: books.New(c.Book),
		store: jobs.NewStore(c.files, c.Options.Jobs.MaxStored()),
	}
	s.queue = jobs.New(c.Options.Jobs, c.work, s.log)
	s.join()
	return s, nil
}

// join makes what answers requests.
func (s *Server) join() {
	c, o := s.config, s.config.Options
	intake := &jobs.Intake{
		Options: o.Jobs, Pace: o.Pace, Queue: s.queue, Store: s.store, Client: access.Client, Machine: s.books.Query,
	}
	s.api = &api.API{Intake: intake, Queue: s.queue, Books: s.books, Pace: o.Pace, Log: s.log, Version: c.Version}
	s.pages = &page.Pages{Intake: intake, Queue: s.queue, Books: s.books, Pace: o.Pace, Log: s.log}
	s.live = &listen.Sessions{Options: listen.DefaultOptions(), Machine: intake.Query, Log: s.log}
	s.guard = &access.Guard{LAN: c.LAN, Names: access.OwnNames(), Pace: o.Pace, Page: s.pages.Refuse, Log: s.log}
	if c.LAN {
		s.guard.Auth = access.NewAuthenticator(o.Access, c.TLS)
	}
}

// Close gives all work up, closes the book and removes the recordings.
func (s *Server) Close() error {
	s.live.Close()
	s.queue.Close(s.config.Options.StopTime)
	return errors.Join(s.books.Close(), s.store.Close())
}

// Handler answers all requests, the page's and the API's.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	s.api.Register(mux)
	s.pages.Register(mux)
	s.live.Register(mux)
	if files, err := offline.Handler(); err == nil { // otherwise it was built without them
		mux.Handle("GET /phone/", http.StripPrefix("/phone/", files))
	}
	return s.guard.Handler(mux)
}

// Serve listens and serves until ctx ends, then closes the server. Once it listens
// it calls announce with where it can be found; an error of announce ends it. The
// error is nil after a clean stop, and an *access.Problem where the server cannot
// listen.
func (s *Server) Serve(ctx context.Context, announce func(access.Place) error) (err error) {
	defer func() { err = errors.Join(err, s.Close()) }()
	c, o := s.config, s.config.Options
	l, err := access.Listen(c.Listen, o.Access)
	if err != nil {
		return err
	}
	place, certificate, err := access.Locate(l.Addr(), c.TLS, s.guard.Auth)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	server := &http.Server{
		Handler:           s.Handler(),
		TLSConfig:         certificate,
		ReadHeaderTimeout: o.Access.HeaderTime,
		ReadTimeout:       o.Pace.BodyTime,
		IdleTimeout:       o.Access.IdleTime,
		MaxHeaderBytes:    maxHeader,
		ErrorLog:          log.New(io.Discard, "", 0), // handshakes that fail are no fault of ours; the guard logs panics
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
		failed <- parallel.Try(func() error {
			if server.TLSConfig != nil {
				return server.ServeTLS(l, "", "")
			}
			return server.Serve(l)
		})
	}()
	select {
	case err := <-failed:
		return fmt.Errorf("web: serving: %w", err)
	case <-ctx.Done():
	}
	s.live.Close()
	s.queue.End() // clients that wait for a result get their answer
	grace, cancel := context.WithTimeout(context.Background(), s.config.Options.StopTime)
	defer cancel()
	if server.Shutdown(grace) != nil {
		_ = server.Close() // those that did not end in time
	}
	<-failed
	return nil
}

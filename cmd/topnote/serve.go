package main

import (
	"context"
	"errors"
	"io"

	"github.com/spf13/cobra"

	"topnote/internal/book"
	"topnote/internal/web"
	"topnote/internal/web/access"
)

// Where the server listens when nothing else is said.
const (
	hereOnly = "127.0.0.1:8637"
	wholeLAN = ":8637" // all addresses of the machine
)

// serveJob is a serve command as it was typed.
type serveJob struct {
	bookJob
	listen   string // "": the default
	lan, tls bool
}

// newServe builds "topnote serve".
func newServe(s streams) *cobra.Command {
	job := serveJob{bookJob: bookJob{streams: s}}
	c := &cobra.Command{
		Use:     "serve",
		Short:   serveShort,
		Long:    serveLong,
		Example: serveExample,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuseArgument(args[0])
			}
			return job.run(c.Context())
		},
	}
	f := c.Flags()
	f.SortFlags = false
	f.BoolVar(&job.lan, "lan", false, flagLAN)
	f.BoolVar(&job.tls, "tls", false, flagTLS)
	f.StringVar(&job.listen, "listen", "", flagListen)
	f.StringVar(&job.path, "book", "", flagBook)
	return c
}

// run serves until ctx ends.
func (j *serveJob) run(ctx context.Context) error {
	path, err := j.place()
	if err != nil {
		return err
	}
	// The book may begin later, but what is there must be one.
	if b, err := book.Open(path); err == nil {
		b.Close() // nothing was written
	} else if !errors.Is(err, book.ErrNoBook) {
		return bookError(err)
	}
	server, err := web.New(web.Config{
		Listen: j.address(), LAN: j.lan, TLS: j.tls, Book: path, Version: version(), Log: j.err, Options: web.Default(),
	})
	if err != nil {
		return serveError(err)
	}
	return serveError(server.Serve(ctx, j.announce))
}

func (j *serveJob) address() string {
	switch {
	case j.listen != "":
		return j.listen
	case j.lan:
		return wholeLAN
	default:
		return hereOnly
	}
}

// announce prints where the server is found and how to end it.
func (j *serveJob) announce(p access.Place) error {
	style := textStyle(j.out)
	return j.print(func(w io.Writer) error {
		if err := saysServing(w, p, j.tls); err != nil {
			return err
		}
		if p.Enter != "" {
			if err := access.WriteQR(w, p.Enter, style.Colour); err != nil {
				return err
			}
		}
		return saysStop(w)
	})
}

// serveError words an error of the server on one line.
func serveError(err error) error {
	var problem *access.Problem
	if errors.As(err, &problem) && problem.Usage {
		return &usageError{problem.Says, problem.Do}
	}
	return err
}

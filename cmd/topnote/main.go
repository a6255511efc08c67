// Command topnote measures small engines from recordings of their sound.
//
// It parses what was typed, calls the packages that do the work and prints what
// they give; every figure and sentence of a result comes from them.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"
)

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

func main() {
	os.Exit(int(run(untilInterrupted(), os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})))
}

// untilInterrupted gives a context that ends with the first interrupt; a second
// one ends the program on the spot.
func untilInterrupted() context.Context {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx
}

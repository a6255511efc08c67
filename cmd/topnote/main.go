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
	"runtime"
	"runtime/debug"
	"syscall"
)

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// collectAt is by how much the memory in use may grow before it is collected,
// percent. Nearly all of it holds plain numbers, so that collecting it four times as
// often as usual takes hardly any time (docs/performance.md), and an hour of sound a
// third less memory. Ballast, which is never touched and so takes no room, counts as
// in use: without it the few megabytes of a short clip were collected all the time.
const (
	collectAt = 25
	ballast   = 32 << 20 // bytes
)

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
	untouched := make([]byte, ballast)
	status := run(untilInterrupted(), os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	runtime.KeepAlive(untouched)
	os.Exit(int(status))
}

// untilInterrupted gives a context that ends with the first interrupt; a second
// one ends the program on the spot.
func untilInterrupted() context.Context {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx
}

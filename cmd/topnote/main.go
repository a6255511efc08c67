// Command topnote measures small engines from recordings of their sound.
//
// It parses the command line, calls the packages that do the work and prints
// their results; every figure and sentence of a result comes from them.
package main

import (
	"io"
	"os"
	"runtime"
	"runtime/debug"
)

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// gcPercent is the growth of the heap, in percent, that starts a collection. Nearly
// all of it is slices of numbers without pointers, so collecting ten times as often
// as usual costs no time that can be measured (docs/performance.md) and needs a third
// less memory for an hour of sound. The ballast counts as heap but is never touched, so it takes
// no memory; without it the small heap of a short clip is collected all the time.
const (
	gcPercent = 10
	ballast   = 32 << 20 // bytes
)

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
	untouched := make([]byte, ballast)
	status := run(untilInterrupted(), os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	runtime.KeepAlive(untouched)
	os.Exit(int(status))
}

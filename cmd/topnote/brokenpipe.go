//go:build !js && !windows

package main

import (
	"os/signal"
	"syscall"
)

// ignoreBrokenPipe makes writing to a pipe that nobody reads an error instead of the
// end of the program: a stream is then ended, and its file closed, as at any other
// end.
func ignoreBrokenPipe() { signal.Ignore(syscall.SIGPIPE) }

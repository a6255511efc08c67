//go:build !js

package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

// untilInterrupted gives a context that ends with the first interrupt, SIGTERM or,
// when the terminal is closed, SIGHUP, so that no temporary file is left behind. A
// second interrupt or SIGTERM ends the program on the spot. A second SIGHUP does
// not: the kernel and the shell may each send one. Under nohup, which has it
// ignored, SIGHUP stays ignored.
func untilInterrupted() context.Context {
	ctx, cancel := context.WithCancel(context.Background())
	came := make(chan os.Signal, 1)
	signal.Notify(came, os.Interrupt, syscall.SIGTERM)
	if !signal.Ignored(syscall.SIGHUP) {
		signal.Notify(came, syscall.SIGHUP)
	}
	go func() {
		for s := range came {
			cancel()
			if s != syscall.SIGHUP {
				signal.Reset(os.Interrupt, syscall.SIGTERM)
			}
		}
	}()
	return ctx
}

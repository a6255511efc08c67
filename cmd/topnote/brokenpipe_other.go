//go:build js || windows

package main

// ignoreBrokenPipe does nothing: there is no such signal here.
func ignoreBrokenPipe() {}

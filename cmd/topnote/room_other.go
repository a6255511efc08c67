//go:build !linux

package main

// makeRoom does nothing: only Linux is asked for large pages.
func makeRoom() {}

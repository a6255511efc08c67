// Command topnote measures small engines from recordings of their sound.
//
// It parses what was typed, calls the packages that do the work and prints what
// they give; every figure and sentence of a result comes from them.
package main

import (
	"io"
	"os"
)

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

func main() {
	os.Exit(int(run(os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})))
}

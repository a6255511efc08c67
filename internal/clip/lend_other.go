//go:build !unix

package clip

import (
	"os"
	"os/exec"
)

// hide reports whether the name of f could be taken away while it is open.
func hide(*os.File) bool { return false }

// handOver gives f to the program, and what the program has to call it.
func handOver(_ *exec.Cmd, f *os.File) string { return f.Name() }

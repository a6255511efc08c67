//go:build !unix

package clip

import (
	"os"
	"os/exec"
)

// hide reports whether the name of f could be removed while it is open.
func hide(*os.File) bool { return false }

// handOver passes f to a program, and gives the name by which the program opens it.
func handOver(_ *exec.Cmd, f *os.File) string { return f.Name() }

//go:build unix

package clip

import (
	"os"
	"os/exec"
)

// hide removes the name of f, so that the file is gone however this program ends.
// It reports whether that could be done.
func hide(f *os.File) bool { return os.Remove(f.Name()) == nil }

// handOver passes f to a program as an open file, and gives the name by which the
// program opens it: not that of the file, which may contain anything.
func handOver(cmd *exec.Cmd, f *os.File) string {
	cmd.ExtraFiles = []*os.File{f}
	return "/dev/fd/3" // the first of ExtraFiles
}

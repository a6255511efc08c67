//go:build unix

package clip

import (
	"os"
	"os/exec"
)

// hide takes the name of f away, so that nothing is left of it, whatever ends
// this program. It reports whether that could be done.
func hide(f *os.File) bool { return os.Remove(f.Name()) == nil }

// handOver gives f to the program, and what the program has to call it. The
// name of the file, which may say anything, is not needed.
func handOver(cmd *exec.Cmd, f *os.File) string {
	cmd.ExtraFiles = []*os.File{f}
	return "/dev/fd/3" // the first of ExtraFiles
}

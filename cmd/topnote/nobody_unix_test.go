//go:build unix

package main

import (
	"os/exec"
	"syscall"
)

// asNobody makes a command run as the user that owns nothing.
func asNobody(cmd *exec.Cmd) error {
	const nobody = 65534
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	return nil
}

// makePipe makes a named pipe.
func makePipe(path string) error { return syscall.Mkfifo(path, 0o666) }

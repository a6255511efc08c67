//go:build !unix

package main

import (
	"errors"
	"os/exec"
)

func asNobody(*exec.Cmd) error { return errors.ErrUnsupported }

func makePipe(string) error { return errors.ErrUnsupported }

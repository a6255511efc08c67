//go:build unix

package book

import "syscall"

// errReadOnlySystem is the error of a disk that cannot be written.
var errReadOnlySystem error = syscall.EROFS

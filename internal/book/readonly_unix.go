//go:build unix

package book

import "syscall"

// errReadOnlySystem is what the system says of a disk that takes no writing.
var errReadOnlySystem error = syscall.EROFS

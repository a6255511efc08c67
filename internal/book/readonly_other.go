//go:build !unix

package book

import "io/fs"

// errReadOnlySystem is what the system says of a disk that takes no writing:
// here the same as of a file.
var errReadOnlySystem = fs.ErrPermission

//go:build !unix && !js

package book

import "io/fs"

// errReadOnlySystem is the error of a disk that cannot be written: here the same
// as of a file.
var errReadOnlySystem = fs.ErrPermission

package web

import (
	"fmt"

	"topnote/internal/web/access"
)

func noFolder(folder string, cause error) *access.Problem {
	return &access.Problem{Says: fmt.Sprintf("recordings cannot be kept in the folder for temporary files, %q (%v)", folder, access.SystemCause(cause)),
		Do: "make room on the disk, or name another folder in TMPDIR", Cause: cause}
}

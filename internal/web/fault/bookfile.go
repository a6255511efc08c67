//go:build !js

package fault

import "net/http"

// BookFile says no more, for the same reason as NoBook; the log has it all.
func BookFile(cause error) *Fault {
	return &Fault{Status: http.StatusServiceUnavailable, Code: CodeBookFile, Cause: cause,
		Says: "the book cannot be used", Do: "see what is said of it where the server was started"}
}

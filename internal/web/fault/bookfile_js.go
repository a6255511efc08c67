package fault

import (
	"errors"
	"net/http"

	"topnote/internal/book"
)

// BookFile says what is wrong with the book: in a browser, whoever reads it owns it.
func BookFile(cause error) *Fault {
	f := &Fault{Status: http.StatusServiceUnavailable, Code: CodeBookFile, Cause: cause,
		Says: "the book cannot be used", Do: "load the page again"}
	var known *book.Problem
	if errors.As(cause, &known) {
		f.Says, f.Do = known.Says, known.Do
	}
	return f
}

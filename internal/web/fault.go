package web

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"net/http"
	"strconv"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/clip"
	"topnote/internal/measure"
)

// fault is why a request is not fulfilled, in words for people: what is wrong and
// what to do, two halves of one sentence without a full stop.
type fault struct {
	status   int
	code     string
	says, do string
	retry    time.Duration // 0: not said
	cause    error         // for the log; nil: none
}

// Error gives both halves on one line.
func (f *fault) Error() string { return "web: " + f.says + "; " + f.do }

// Unwrap gives the cause.
func (f *fault) Unwrap() error { return f.cause }

// faultOf brings the error of any package below into the form of an answer.
func faultOf(err error) *fault {
	var own *fault
	var recording *clip.Problem
	var entry *measure.Refusal
	var kept *book.Problem
	var weather *air.Problem
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &own):
		return own
	case errors.Is(err, fs.ErrClosed): // the sound of a job that was dropped meanwhile
		return faultNoJob()
	case errors.As(err, &recording):
		return &fault{status: recordingStatus(recording.Code), code: recording.Code, says: recording.Says, do: recording.Do, cause: err}
	case errors.As(err, &entry):
		return &fault{status: http.StatusBadRequest, code: codeEntry, says: entry.Says, do: entry.Do}
	case errors.Is(err, book.ErrNoBook):
		return faultNoBook()
	case errors.Is(err, book.ErrFile):
		return faultBookFile(err)
	case errors.As(err, &kept):
		return bookFault(kept, err)
	case errors.As(err, &weather):
		return &fault{status: http.StatusBadRequest, code: codeEntry, says: weather.Says, do: weather.Do}
	case errors.As(err, &large):
		return faultTooBig(large.Limit)
	case errors.Is(err, context.Canceled):
		return faultGone()
	default:
		return faultInside(err)
	}
}

// recordingStatus tells a recording that cannot be used from a server that
// cannot use it.
func recordingStatus(code string) int {
	switch code {
	case clip.CodeNoRoom, clip.CodeReadFailed:
		return http.StatusServiceUnavailable
	case clip.CodeTooBig:
		return http.StatusRequestEntityTooLarge
	default:
		return http.StatusUnprocessableEntity
	}
}

// bookKinds gives the status and the code of each kind of problem of a book.
var bookKinds = []struct {
	kind   error
	status int
	code   string
}{
	{book.ErrEntry, http.StatusBadRequest, codeEntry},
	{book.ErrUnknown, http.StatusNotFound, codeUnknown},
	{book.ErrKnown, http.StatusConflict, codeKnown},
}

// bookFault is a fault of what was asked of the book.
func bookFault(p *book.Problem, cause error) *fault {
	f := &fault{status: http.StatusInternalServerError, code: codeInside, says: p.Says, do: p.Do, cause: cause}
	for _, k := range bookKinds {
		if errors.Is(p.Kind, k.kind) {
			f.status, f.code = k.status, k.code
			break
		}
	}
	return f
}

// errorBody is a fault as JSON.
type errorBody struct {
	Error errorParts `json:"error"`
}

type errorParts struct {
	Code string `json:"code"`
	Says string `json:"says"`
	Do   string `json:"do"`
}

func (f *fault) parts() errorParts { return errorParts{f.code, f.says, f.do} }

// refuse answers with a fault as JSON.
func refuse(w http.ResponseWriter, f *fault) {
	f.head(w.Header())
	writeJSON(w, f.status, errorBody{f.parts()})
}

// head puts what a fault says beside its body into the header.
func (f *fault) head(h http.Header) {
	if f.retry > 0 {
		h.Set("Retry-After", strconv.Itoa(int(cmp.Or(f.retry.Round(time.Second), time.Second)/time.Second)))
	}
}

// writeJSON answers with v as JSON. What cannot be sent any more is nobody's
// loss: the client has gone.
func writeJSON(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", typeJSON)
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v)
}

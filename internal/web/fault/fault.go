// Package fault is why a request is not fulfilled: one sentence for people, a
// code for programs, and an HTTP status.
//
// Every package of the server returns its refusals as a *Fault; what comes from
// the packages below (a recording that cannot be decoded, an entry that cannot
// be used, a book that is damaged) becomes one by Of. JSON answers carry it with
// Refuse, pages with Sentence. The sentences that several packages need are in
// says.go here, the others in the says.go of their package.
//
// Source: RFC 9110 section 15 for the statuses.
package fault

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"log"
	"net/http"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/clip"
	"topnote/internal/entry"
	"topnote/internal/parallel"
)

// Fault is why a request is not fulfilled, in words for people: what is wrong and
// what to do, two halves of one sentence without a full stop.
type Fault struct {
	Status   int    // of HTTP
	Code     string // for programs; it does not change
	Says, Do string
	Retry    time.Duration // after which to try again; 0: not said
	Cause    error         // for the log; nil: none
}

// Error gives both halves on one line.
func (f *Fault) Error() string { return "web: " + f.Says + "; " + f.Do }

// Unwrap gives the cause.
func (f *Fault) Unwrap() error { return f.Cause }

// Sentence gives both halves as one sentence.
func (f *Fault) Sentence() string {
	says := f.Says
	if f.Do != "" {
		says += "; " + f.Do
	}
	first, size := utf8.DecodeRuneInString(says)
	return strings.TrimSuffix(string(unicode.ToUpper(first))+says[size:], ".") + "."
}

// Of converts an error of any package of the server, or below it, to a fault. An
// error that it does not recognise is Inside.
func Of(err error) *Fault {
	var own *Fault
	var recording *clip.Problem
	var entry *entry.Refusal
	var inBook *book.Problem
	var weather *air.Problem
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &own):
		return own
	case errors.Is(err, fs.ErrClosed): // the sound of a job that was dropped meanwhile
		return NoJob()
	case errors.As(err, &recording):
		return &Fault{Status: recordingStatus(recording.Code), Code: recording.Code, Says: recording.Says, Do: recording.Do, Cause: err}
	case errors.As(err, &entry):
		return &Fault{Status: http.StatusBadRequest, Code: CodeEntry, Says: entry.Says, Do: entry.Do}
	case errors.Is(err, book.ErrNoBook):
		return NoBook()
	case errors.Is(err, book.ErrFile):
		return BookFile(err)
	case errors.As(err, &inBook):
		return ofBook(inBook, err)
	case errors.As(err, &weather):
		return &Fault{Status: http.StatusBadRequest, Code: CodeEntry, Says: weather.Says, Do: weather.Do}
	case errors.As(err, &large):
		return TooBig(large.Limit)
	case errors.Is(err, context.Canceled):
		return Gone()
	default:
		return Inside(err)
	}
}

// recordingStatus separates recordings that cannot be used from a server that
// cannot use them now.
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
	{book.ErrEntry, http.StatusBadRequest, CodeEntry},
	{book.ErrUnknown, http.StatusNotFound, CodeUnknown},
	{book.ErrKnown, http.StatusConflict, CodeKnown},
	{book.ErrImport, http.StatusUnprocessableEntity, CodeEntry},
}

// ofBook gives the fault of a request that the book refused.
func ofBook(p *book.Problem, cause error) *Fault {
	f := &Fault{Status: http.StatusInternalServerError, Code: CodeInside, Says: p.Says, Do: p.Do, Cause: cause}
	for _, k := range bookKinds {
		if errors.Is(p.Kind, k.kind) {
			f.Status, f.Code = k.status, k.code
			break
		}
	}
	return f
}

// Named puts the name of a field before the sentence of an error.
func Named(field string, err error) error {
	f := *Of(err)
	f.Says = field + ": " + f.Says
	return &f
}

// Log gives the fault of an error, and logs the cause where the program or its
// machine is to blame and not the request.
func Log(l *log.Logger, err error) *Fault {
	f := Of(err)
	if f.Status == http.StatusInternalServerError || f.Code == CodeBookFile || f.Code == CodeDisk {
		LogError(l, f.Cause)
	}
	return f
}

// LogError logs an error, with the stack where it is a panic.
func LogError(l *log.Logger, err error) {
	var p *parallel.Panic
	if errors.As(err, &p) {
		l.Printf("%v\n%s", err, p.Stack)
	} else {
		l.Printf("%v", err)
	}
}

// Body is a fault as JSON.
type Body struct {
	Error Parts `json:"error"`
}

// Parts are those of a fault that are shown to others.
type Parts struct {
	Code string `json:"code"`
	Says string `json:"says"`
	Do   string `json:"do"`
}

// Parts gives what is shown of the fault.
func (f *Fault) Parts() Parts { return Parts{f.Code, f.Says, f.Do} }

// SetHeader sets the header fields that go with the fault.
func (f *Fault) SetHeader(h http.Header) {
	if f.Retry > 0 {
		h.Set("Retry-After", strconv.Itoa(int(cmp.Or(f.Retry.Round(time.Second), time.Second)/time.Second)))
	}
}

// Refuse answers with the fault as JSON.
func (f *Fault) Refuse(w http.ResponseWriter) {
	f.SetHeader(w.Header())
	WriteJSON(w, f.Status, Body{f.Parts()})
}

// TypeJSON is the Content-Type of JSON.
const TypeJSON = "application/json"

// WriteJSON answers with v as JSON. It has no error: where the answer cannot be
// sent, the client has gone.
func WriteJSON(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", TypeJSON)
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v)
}

// Package pace limits the size, pace and time of what goes over one connection: a
// body that comes in, and the answer to it.
//
// A client that sends a byte a minute, or reads none, would otherwise occupy a
// seat for as long as it likes. Body puts the limits on the body of a request,
// Answer the time on an answer.
//
// Source: RFC 9110 (HTTP); OWASP cheat sheets, on denial of service.
package pace

import (
	"errors"
	"io"
	"net/http"
	"os"
	"time"

	"topnote/internal/web/fault"
)

// Options are the limits, all of them judgements. Start from Default.
type Options struct {
	// Quiet is how long a client may send nothing in the middle of a body, 10 s.
	Quiet time.Duration
	// BodyTime is how long the whole of a body may take, 10 min, and MinRate the
	// bytes a second that it must come with after the first Quiet, 8000: a slow
	// mobile connection has more.
	BodyTime time.Duration
	MinRate  float64
	// AnswerTime is how long a client may take to fetch an answer, 1 min, and
	// PlayTime the same for a recording, 10 min.
	AnswerTime, PlayTime time.Duration
}

// Default gives the limits that the program uses.
func Default() Options {
	return Options{
		Quiet: 10 * time.Second, BodyTime: 10 * time.Minute, MinRate: 8000,
		AnswerTime: time.Minute, PlayTime: 10 * time.Minute,
	}
}

// Answer gives the rest of an answer the time AnswerTime from now on.
func (o Options) Answer(w http.ResponseWriter) { setWrite(w, o.AnswerTime) }

// Play gives it PlayTime.
func (o Options) Play(w http.ResponseWriter) { setWrite(w, o.PlayTime) }

// NoLimit lets an answer take as long as it needs; the caller bounds it otherwise.
func NoLimit(w http.ResponseWriter) {
	_ = http.NewResponseController(w).SetWriteDeadline(time.Time{}) // only a recorder of tests has none
}

func setWrite(w http.ResponseWriter, d time.Duration) {
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(d)) // only a recorder of tests has none
}

// Finish gives a client that is still sending after its answer no longer than
// Quiet.
func (o Options) Finish(w http.ResponseWriter) {
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(o.Quiet)) // only a recorder of tests has none
}

// Body is the body of a request under the limits. It replaces the request's own.
type Body struct {
	io.ReadCloser
	control *http.ResponseController
	o       Options
	began   time.Time
	got     int64 // bytes
	failed  error // the first error, given for every later Read
}

// Body puts the limits on the body of r, of which at most limit bytes may come.
// The caller calls Done after reading.
func (o Options) Body(w http.ResponseWriter, r *http.Request, limit int64) *Body {
	b := &Body{ReadCloser: http.MaxBytesReader(w, r.Body, limit), control: http.NewResponseController(w), o: o, began: time.Now()}
	r.Body = b
	return b
}

// Read implements io.Reader. It returns a *fault.Fault for a body that comes too
// slowly.
func (b *Body) Read(p []byte) (int, error) {
	if b.failed != nil {
		return 0, b.failed
	}
	now := time.Now()
	until := now.Add(b.o.Quiet)
	if last := b.began.Add(b.o.BodyTime); until.After(last) {
		until = last
	}
	_ = b.control.SetReadDeadline(until) // only a recorder of tests has none
	n, err := b.ReadCloser.Read(p)
	b.got += int64(n)
	since := time.Since(b.began)
	if err == nil && since > b.o.Quiet && float64(b.got) < b.o.MinRate*since.Seconds() {
		err = tooSlow(nil)
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		err = tooSlow(err)
	}
	b.failed = err
	return n, err
}

// Cause gives the *fault.Fault that the body ended with, instead of err, which is
// what its reader reports: a line that breaks off can look damaged.
func (b *Body) Cause(err error) error {
	var own *fault.Fault
	if errors.As(b.failed, &own) {
		return own
	}
	return err
}

// Done removes the deadline, which would end the request later on, and gives the
// answer its own time.
func (b *Body) Done() {
	_ = b.control.SetReadDeadline(time.Time{})
	_ = b.control.SetWriteDeadline(time.Now().Add(b.o.AnswerTime))
}

// BodyFault gives the error of reading a form: an error that is not ours means a
// damaged form.
func BodyFault(err error) error {
	var own *fault.Fault
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &own), errors.As(err, &large):
		return err
	case errors.Is(err, os.ErrDeadlineExceeded):
		return tooSlow(err)
	default:
		return fault.Form(err)
	}
}

// maxDrain is how much of a refused body is read, bytes, so that its sender gets
// to see the answer: clients that send everything before they read would find the
// connection broken.
const maxDrain = 20_000_000

// Drain reads a body that is not wanted, unless its sender waits for a 100
// Continue.
func Drain(r *http.Request) {
	if r.Header.Get("Expect") == "" {
		_, _ = io.CopyN(io.Discard, r.Body, maxDrain) // what is wrong with it does not matter any more
	}
}

func tooSlow(cause error) *fault.Fault {
	return &fault.Fault{Status: http.StatusRequestTimeout, Code: fault.CodeTooSlow, Cause: cause,
		Says: "the recording came too slowly, or stopped coming", Do: "see to the connection and send it again"}
}

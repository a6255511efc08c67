package fault

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/clip"
	"topnote/internal/entry"
	"topnote/internal/parallel"
)

// TestOf gives errors of every package below, wrapped as they come, and wants the
// status and the code that docs/api.md has for them.
func TestOf(t *testing.T) {
	for _, c := range []struct {
		err    error
		status int
		code   string
	}{
		{Busy(time.Second), 503, CodeBusy},
		{&clip.Problem{Code: clip.CodeNotAudio}, 422, clip.CodeNotAudio},
		{&clip.Problem{Code: clip.CodeNoRoom}, 503, clip.CodeNoRoom},
		{&clip.Problem{Code: clip.CodeTooBig}, 413, clip.CodeTooBig},
		{&entry.Refusal{Says: "x"}, 400, CodeEntry},
		{&book.Problem{Kind: book.ErrEntry}, 400, CodeEntry},
		{&book.Problem{Kind: book.ErrUnknown}, 404, CodeUnknown},
		{&book.Problem{Kind: book.ErrKnown}, 409, CodeKnown},
		{book.ErrNoBook, 404, CodeNoBook},
		{book.ErrFile, 503, CodeBookFile},
		{&air.Problem{Says: "x"}, 400, CodeEntry},
		{&http.MaxBytesError{Limit: 1}, 413, CodeTooBig},
		{fs.ErrClosed, 404, CodeUnknown},
		{context.Canceled, 503, CodeGone},
		{parallel.Try(func() error { panic("x") }), 500, CodeInside},
		{errors.New("anything else"), 500, CodeInside},
	} {
		for _, err := range []error{c.err, fmt.Errorf("around it: %w", c.err)} {
			if f := Of(err); f.Status != c.status || f.Code != c.code {
				t.Errorf("%v: %d %q, want %d %q", err, f.Status, f.Code, c.status, c.code)
			}
		}
	}
}

func TestSentence(t *testing.T) {
	for f, want := range map[*Fault]string{
		{Says: "it is empty", Do: "send another"}: "It is empty; send another.",
		{Says: "änderung"}:                        "Änderung.",
	} {
		if got := f.Sentence(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	var f *Fault
	if err := Named("limit", Entry("no speed", "enter one")); !errors.As(err, &f) || f.Sentence() != "Limit: no speed; enter one." {
		t.Errorf("with the name of its field: %v", err)
	}
}

// TestLog wants a log of what the owner of the server must know, and of nothing that
// a client did wrong.
func TestLog(t *testing.T) {
	var b bytes.Buffer
	l := log.New(&b, "", 0)
	for _, err := range []error{Entry("x", "y"), context.Canceled, Busy(0), &clip.Problem{Code: clip.CodeNotAudio}} {
		if Log(l, err); b.Len() > 0 {
			t.Errorf("%v is logged as %q", err, &b)
			b.Reset()
		}
	}
	for _, c := range []struct {
		err  error
		want string
	}{
		{errors.New("a slip of ours"), "a slip of ours"},
		{fmt.Errorf("the file: %w", book.ErrFile), "the file: "},
		{&Fault{Code: CodeDisk, Cause: errors.New("no space")}, "no space"},
		{parallel.Try(func() error { panic("x") }), "fault_test.go:"}, // its stack
	} {
		if Log(l, c.err); !strings.Contains(b.String(), c.want) {
			t.Errorf("%v is logged as %q", c.err, &b)
		}
		b.Reset()
	}
}

// TestRefuse wants whole seconds to wait, and no less than one.
func TestRefuse(t *testing.T) {
	for retry, want := range map[time.Duration]string{0: "", time.Millisecond: "1", 1600 * time.Millisecond: "2", time.Minute: "60"} {
		w := httptest.NewRecorder()
		Busy(retry).Refuse(w)
		if got := w.Header().Get("Retry-After"); got != want || w.Code != http.StatusServiceUnavailable {
			t.Errorf("%v: %d, to be tried again after %q s, want %q", retry, w.Code, got, want)
		}
	}
}

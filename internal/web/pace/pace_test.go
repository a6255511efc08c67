package pace

import (
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"testing/iotest"

	"topnote/internal/web/fault"
)

// TestBody reads bodies that end in each way, and wants the fault of each, for the
// first Read that fails and for all later ones.
func TestBody(t *testing.T) {
	atOnce, slow := Default(), Default()
	slow.Quiet, slow.MinRate = 0, 1e12 // bytes a second that nobody reaches
	for _, c := range []struct {
		what  string
		o     Options
		limit int64
		from  io.Reader
		code  string // "": it is read whole
	}{
		{"as much as is taken", atOnce, 10, strings.NewReader("0123456789"), ""},
		{"too much", atOnce, 9, strings.NewReader("0123456789"), fault.CodeTooBig},
		{"under the rate", slow, 10, strings.NewReader("0123456789"), fault.CodeTooSlow},
		{"nothing in time", atOnce, 10, iotest.ErrReader(os.ErrDeadlineExceeded), fault.CodeTooSlow},
		{"broken off", atOnce, 10, iotest.ErrReader(io.ErrUnexpectedEOF), fault.CodeForm},
	} {
		r := httptest.NewRequest("POST", "/", io.NopCloser(c.from))
		b := c.o.Body(httptest.NewRecorder(), r, c.limit)
		_, err := io.ReadAll(r.Body)
		if c.code == "" {
			if err != nil {
				t.Errorf("%s: %v", c.what, err)
			}
			continue
		}
		if f := fault.Of(BodyFault(err)); f.Code != c.code {
			t.Errorf("%s: %v", c.what, err)
		}
		if _, again := r.Body.Read(make([]byte, 1)); !errors.Is(again, err) {
			t.Errorf("%s: first %v, then %v", c.what, err, again)
		}
		looksDamaged := errors.New("a line that breaks off")
		if got := b.Cause(looksDamaged); (fault.Of(got).Code == fault.CodeTooSlow) != (c.code == fault.CodeTooSlow) {
			t.Errorf("%s: the cause is %v", c.what, got)
		}
	}
}

// TestDrain reads a refused body, but not that of a client that waits to be told.
func TestDrain(t *testing.T) {
	for expect, left := range map[string]int{"": 0, "100-continue": 4} {
		body := strings.NewReader("body")
		r := &http.Request{Header: http.Header{}, Body: io.NopCloser(body)}
		if expect != "" {
			r.Header.Set("Expect", expect)
		}
		if Drain(r); body.Len() != left {
			t.Errorf("Expect %q: %d bytes are left, want %d", expect, body.Len(), left)
		}
	}
}

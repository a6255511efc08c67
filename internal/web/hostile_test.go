package web

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"topnote/internal/clip"
	"topnote/internal/web/fault"
)

// small makes the limits small, so that they are reached soon, yet not by clients that
// do what they should on a machine that is busy otherwise.
func small(c *Config) {
	o := &c.Options
	o.Jobs.MaxBody, o.Jobs.MaxSound, o.Jobs.KeptBytes = 1_000_000, 20, 3_000_000
	o.Access.HeaderTime = time.Second
	o.Pace.Quiet, o.Pace.BodyTime, o.Pace.MinRate = time.Second, 20*time.Second, 50_000
}

// dial opens a bare connection to the server.
func (x *serving) dial() net.Conn {
	x.t.Helper()
	c, err := net.Dial("tcp", strings.TrimPrefix(x.url, "http://"))
	if err != nil {
		x.t.Fatal(err)
	}
	x.t.Cleanup(func() { c.Close() })
	if err := c.SetDeadline(time.Now().Add(soon)); err != nil {
		x.t.Fatal(err)
	}
	return c
}

// statusOf reads the status that a bare connection gets; 0 where it is closed
// without one.
func statusOf(t *testing.T, c net.Conn) int {
	t.Helper()
	a, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		var slow net.Error
		if errors.As(err, &slow) && slow.Timeout() {
			t.Error("the server leaves the connection open")
		}
		return 0
	}
	defer a.Body.Close()
	return a.StatusCode
}

// formHead is the beginning of a form with a recording.
const formHead = "--x\r\nContent-Disposition: form-data; name=\"clip\"; filename=\"x\"\r\n\r\n"

// promise is a request that promises a form of so many bytes and begins it.
func promise(length int64) string {
	return fmt.Sprintf("POST /api/v1/clips HTTP/1.1\r\nHost: localhost\r\nContent-Type: multipart/form-data; boundary=x\r\nContent-Length: %d\r\n\r\n%s", length, formHead)
}

// rawForm makes a request with a form whose bytes are given; its boundary is x.
func (x *serving) rawForm(body io.Reader) *http.Request {
	x.t.Helper()
	r := x.request("POST", "/api/v1/clips", body)
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	return r
}

// TestTooMuch sends more than is taken, and says so beforehand, or does not, or
// lies about it.
func TestTooMuch(t *testing.T) {
	x := serve(t, small)
	large := make([]byte, x.config.Options.Jobs.MaxBody+1)
	if code := x.post("/api/v1/clips", large).want(t, http.StatusRequestEntityTooLarge).fault(t); code != fault.CodeTooBig {
		t.Errorf("one byte too much: %q", code)
	}
	if code := x.post("/api/v1/clips?wait=1", large[1:]).want(t, http.StatusUnprocessableEntity).fault(t); code != clip.CodeNotAudio {
		t.Errorf("as much as is taken: %q", code)
	}
	if a, err := x.client.Do(x.rawForm(io.MultiReader(strings.NewReader(formHead), endless{}))); err == nil { // the connection may break before the answer is read
		a.Body.Close()
		if a.StatusCode != http.StatusRequestEntityTooLarge {
			t.Errorf("without an end: %s", a.Status)
		}
	}
	for _, length := range []int64{1_000_000_000_000, math.MaxInt64} {
		c := x.dial()
		fmt.Fprint(c, promise(length))
		if s := statusOf(t, c); s != http.StatusRequestTimeout && s != http.StatusRequestEntityTooLarge {
			t.Errorf("%d bytes promised and not sent: %d", length, s)
		}
	}
	for _, head := range []string{"X: " + strings.Repeat("x", 2*maxHeader), strings.Repeat("X: x\r\n", maxHeader)} {
		c := x.dial()
		fmt.Fprintf(c, "GET / HTTP/1.1\r\nHost: localhost\r\n%s\r\n\r\n", head)
		if s := statusOf(t, c); s != http.StatusRequestHeaderFieldsTooLarge && s != 0 {
			t.Errorf("a large header: %d", s)
		}
	}
	var parts strings.Builder
	for i := range 100_000 {
		fmt.Fprintf(&parts, "--x\r\nContent-Disposition: form-data; name=\"f%d\"\r\n\r\n\r\n", i)
	}
	if a, err := x.client.Do(x.rawForm(strings.NewReader(parts.String()))); err == nil {
		a.Body.Close()
		if a.StatusCode < 400 {
			t.Errorf("many parts: %s", a.Status)
		}
	}
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// forgetAll drops all results.
func forgetAll(x *serving) *Server {
	x.queue.RemoveAll()
	return x.Server
}

// endless is a body without an end.
type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

// TestPathTricks asks for files outside in the ways that servers have fallen for,
// as bare bytes, since no client sends them.
func TestPathTricks(t *testing.T) {
	x := serve(t, nil)
	secret := storedFiles(t, x.Server)[0]
	for _, path := range []string{
		"/../../../../etc/passwd", "/static/../../../../etc/passwd", "/static/..%2f..%2f..%2fetc%2fpasswd", "/static/%2e%2e/%2e%2e/etc/passwd",
		"/static/..\\..\\etc\\passwd", "/static//etc/passwd", "/static/" + secret[1:], "/static/%00", "/static/.", "/static/",
		"/api/v1/clips/..%2f..%2fetc%2fpasswd/audio", "/api/v1/clips/" + "lock" + "/audio", "/api/v1/clips/%2e%2e/audio", "/api/v1/clips/../lock/audio",
		"/api/v1/clips/" + strings.ReplaceAll(secret, "/", "%2F") + "/audio", "/api/v1/openapi.yaml/../../../etc/passwd",
		"//etc/passwd", "http://evil.example/etc/passwd", "file:///etc/passwd", "/%", "*", "/static/\x00", "/clips/..%2f..%2f",
	} {
		c := x.dial()
		fmt.Fprintf(c, "GET %s HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n", path)
		answer, err := io.ReadAll(c)
		if err != nil {
			t.Errorf("%q: %v", path, err)
		}
		status, rest, _ := bytes.Cut(answer, []byte(" "))
		if !bytes.HasPrefix(status, []byte("HTTP/1.")) || rest[0] != '3' && rest[0] != '4' || bytes.Contains(answer, []byte("root:")) {
			t.Errorf("%q gives %.300q", path, answer)
		}
	}
	x.healthy()
}

// TestBrokenForms sends forms that break off or are damaged anywhere, by bytes:
// nothing of any is kept.
func TestBrokenForms(t *testing.T) {
	x := serve(t, nil)
	whole := "--x\r\nContent-Disposition: form-data; name=\"limit\"\r\n\r\n13500\r\n" + formHead + "RIFF....\r\n--x--\r\n"
	for cut := range len(whole) - len("\r\n--x--\r\n") + 4 {
		x.do(x.rawForm(strings.NewReader(whole[:cut]))).want(t, http.StatusBadRequest).fault(t)
	}
	wantEmptyStore(t, x.Server)
	x.healthy()
}

// TestSmuggling sends two lengths, a length and chunks, and other framings that
// two programs read in two ways, RFC 9112 section 11.2.
func TestSmuggling(t *testing.T) {
	x := serve(t, nil)
	for _, head := range []string{
		"Content-Length: 5\r\nContent-Length: 6", "Content-Length: 5, 6", "Content-Length: +5", "Content-Length: -1",
		"Transfer-Encoding: chunked, identity", "Transfer-Encoding: xchunked", "Host: evil.example", "X : y", " folded: y",
	} {
		c := x.dial()
		fmt.Fprintf(c, "POST /api/v1/air HTTP/1.1\r\nHost: localhost\r\n%s\r\nConnection: close\r\n\r\nhello", head)
		if s := statusOf(t, c); s != http.StatusBadRequest && s != http.StatusNotImplemented && s != 0 {
			t.Errorf("%q: %d", head, s)
		}
	}
	x.healthy()
}

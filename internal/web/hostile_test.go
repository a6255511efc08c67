package web

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"mime/multipart"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/iotest"
	"time"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"topnote/internal/clip"
)

// small makes the limits small, so that they are reached in no time.
func small(c *Config) {
	o := &c.Options
	o.BodyMost, o.SoundMost, o.KeptBytes = 1_000_000, 20, 3_000_000
	o.HeaderTime, o.Quiet, o.BodyTime, o.PaceLeast = 300*time.Millisecond, 300*time.Millisecond, 2*time.Second, 50_000
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

// TestTooMuch sends more than is taken, and says so beforehand, or does not, or
// lies about it.
func TestTooMuch(t *testing.T) {
	x := serve(t, small)
	large := make([]byte, x.o.BodyMost+1)
	if code := x.post("/api/v1/clips", large).want(t, http.StatusRequestEntityTooLarge).fault(t); code != codeTooBig {
		t.Errorf("one byte too much: %q", code)
	}
	if code := x.post("/api/v1/clips?wait=1", large[1:]).want(t, http.StatusUnprocessableEntity).fault(t); code != clip.CodeNotAudio {
		t.Errorf("as much as is taken: %q", code)
	}
	r := x.request("POST", "/api/v1/clips", io.MultiReader(strings.NewReader(formHead), endless{}))
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	if a, err := x.client.Do(r); err == nil { // the connection may break before the answer is read
		a.Body.Close()
		if a.StatusCode != http.StatusRequestEntityTooLarge {
			t.Errorf("without an end: %s", a.Status)
		}
	}
	for _, length := range []string{"1000000000000", "9223372036854775807"} {
		c := x.dial()
		fmt.Fprintf(c, "POST /api/v1/clips HTTP/1.1\r\nHost: localhost\r\nContent-Type: multipart/form-data; boundary=x\r\nContent-Length: %s\r\n\r\n%s", length, formHead)
		if s := statusOf(t, c); s != http.StatusRequestTimeout && s != http.StatusRequestEntityTooLarge {
			t.Errorf("%s bytes promised and not sent: %d", length, s)
		}
	}
	for _, head := range []string{"X: " + strings.Repeat("x", 2*headerMost), strings.Repeat("X: x\r\n", headerMost)} {
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
	r = x.request("POST", "/api/v1/clips", strings.NewReader(parts.String()))
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	if a, err := x.client.Do(r); err == nil {
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
	x.desk.mu.Lock()
	defer x.desk.mu.Unlock()
	for id := range x.desk.jobs {
		x.desk.drop(id)
	}
	return x.Server
}

// endless is a body without an end.
type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

// TestSlowSenders has clients that send headers and bodies slowly, or stop, or
// leave in the middle: all are cut off, and others are served meanwhile.
func TestSlowSenders(t *testing.T) {
	x := serve(t, func(c *Config) {
		small(c)
		c.Options.BodyTime = time.Hour // it is the pace that counts
	})
	head := "POST /api/v1/clips HTTP/1.1\r\nHost: localhost\r\nContent-Type: multipart/form-data; boundary=x\r\nContent-Length: 900000\r\n\r\n" + formHead
	var all sync.WaitGroup
	slow := func(what, text string, drip bool, want ...int) {
		c := x.dial()
		if _, err := io.WriteString(c, text); err != nil {
			t.Error(err)
		}
		all.Go(func() {
			if drip {
				go func() {
					for { // until it is cut off
						if _, err := c.Write([]byte("x")); err != nil {
							return
						}
						time.Sleep(20 * time.Millisecond)
					}
				}()
			}
			got := statusOf(t, c)
			for _, w := range want {
				if got == w {
					return
				}
			}
			t.Errorf("%s: %d, want one of %d", what, got, want)
		})
	}
	slow("no header", "", false, 0)
	slow("half a header", "GET / HTTP/1.1\r\nHost: local", false, 0, 408)
	slow("a header, letter by letter", "GET / HTTP/1.1\r\nX: ", true, 0, 408)
	for range 5 {
		slow("half a recording", head+strings.Repeat("x", 100_000), false, 408)
		slow("a recording, byte by byte", head, true, 408)
	}
	slow("JSON, byte by byte", "POST /api/v1/air HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 60000\r\n\r\n{\"temp\":\"", true, 408)
	slow("a body that nobody asked for", "GET /api/v1/version HTTP/1.1\r\nHost: localhost\r\nContent-Length: 60000\r\n\r\n", true, 200)
	gone := x.dial()
	if _, err := io.WriteString(gone, head+"x"); err != nil {
		t.Error(err)
	}
	gone.Close()
	x.get("/api/v1/version").want(t, http.StatusOK)
	all.Wait()
	eventually(t, "no seat taken", func() bool { x.desk.mu.Lock(); defer x.desk.mu.Unlock(); return x.desk.seats == 0 })
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// TestLongSenders sends at a pace that is in order, but for too long.
func TestLongSenders(t *testing.T) {
	x := serve(t, func(c *Config) { small(c); c.Options.BodyTime, c.Options.PaceLeast = 500*time.Millisecond, 1 })
	c := x.dial()
	fmt.Fprintf(c, "POST /api/v1/clips HTTP/1.1\r\nHost: localhost\r\nContent-Type: multipart/form-data; boundary=x\r\nContent-Length: 900000\r\n\r\n%s", formHead)
	go func() {
		for { // until it is cut off
			if _, err := c.Write([]byte("xxxxx")); err != nil {
				return
			}
			time.Sleep(20 * time.Millisecond)
		}
	}()
	if s := statusOf(t, c); s != http.StatusRequestTimeout {
		t.Errorf("%d", s)
	}
	x.healthy()
}

// TestSlowReaders asks for a large recording and does not read it: the server
// gives it up.
func TestSlowReaders(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.PlayTime = 200 * time.Millisecond; c.Options.SoundMost = 1000 })
	var j jobBody
	x.desk.work = func(*job) outcome { return outcome{} }
	x.post("/api/v1/clips", make([]byte, 50_000_000)).want(t, http.StatusAccepted).into(t, &j)
	x.waitFor(j.ID, Done)
	c := x.dial()
	fmt.Fprintf(c, "GET %s/audio HTTP/1.1\r\nHost: localhost\r\n\r\n", j.Links.Self)
	eventually(t, "the recording is given up", func() bool {
		x.desk.mu.Lock()
		defer x.desk.mu.Unlock()
		held := x.desk.jobs[j.ID].bytes
		held.mu.Lock()
		defer held.mu.Unlock()
		return held.refs == 1
	})
	x.desk.work = x.desk.measure
	x.healthy()
}

// TestTwoHundredAtOnce has two hundred clients send a recording and look around
// at the same time: each gets an answer, taken or busy, and afterwards nothing is
// left of them.
func TestTwoHundredAtOnce(t *testing.T) {
	x := serve(t, nil)
	var all sync.WaitGroup
	var mu sync.Mutex
	counts := map[int]int{}
	start := make(chan bool)
	for i := range 200 {
		recording := bytes.Repeat([]byte{byte(i)}, 300_000)
		all.Go(func() {
			<-start
			a := x.post("/api/v1/clips?wait=1", recording)
			mu.Lock()
			counts[a.StatusCode]++
			mu.Unlock()
			if a.StatusCode == http.StatusServiceUnavailable && (a.fault(t) != codeBusy || a.Header.Get("Retry-After") == "") {
				t.Errorf("not clearly busy: %s", a.body)
			}
			x.get("/api/v1/version").want(t, http.StatusOK)
			x.get("/api/v1/clips/"+newID()).want(t, http.StatusNotFound)
		})
	}
	close(start)
	all.Wait()
	if counts[422]+counts[503] != 200 || counts[422] < x.o.Workers+x.o.Waiting {
		t.Errorf("answers: %v", counts)
	}
	t.Logf("of 200 at once: %d measured and refused as no recordings, %d told to come back", counts[422], counts[503])
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// TestConnectionsAreBounded opens more connections than are taken: the rest wait,
// and are served when others leave.
func TestConnectionsAreBounded(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.Conns = 5; c.Options.HeaderTime = soon })
	var held []net.Conn
	for range 5 {
		c := x.dial()
		fmt.Fprint(c, "GET / HTTP/1.1\r\n")
		held = append(held, c)
	}
	waits := x.dial()
	fmt.Fprint(waits, "GET /api/v1/version HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
	for _, c := range held {
		c.Close()
	}
	if s := statusOf(t, waits); s != http.StatusOK {
		t.Errorf("the one that waited: %d", s)
	}
}

// TestClientsShareSeats has one address of the network take no more than its part.
func TestClientsShareSeats(t *testing.T) {
	o := Default()
	d := newDesk(o, time.Now, nil)
	defer d.close(soon)
	for range o.ClientMost {
		if err := d.seat("192.0.2.1"); err != nil {
			t.Fatal(err)
		}
	}
	if err := d.seat("192.0.2.1"); err == nil {
		t.Error("one address may take all seats")
	}
	if err := d.seat("192.0.2.2"); err != nil {
		t.Errorf("another: %v", err)
	}
	d.stand("192.0.2.1")
	if err := d.seat("192.0.2.1"); err != nil {
		t.Errorf("after one was given back: %v", err)
	}
}

// TestPathTricks asks for files outside in the ways that servers have fallen for,
// as bare bytes, since no client sends them.
func TestPathTricks(t *testing.T) {
	x := serve(t, nil)
	secret := filepath.Join(x.store.folder, lockName)
	for _, path := range []string{
		"/../../../../etc/passwd", "/static/../../../../etc/passwd", "/static/..%2f..%2f..%2fetc%2fpasswd", "/static/%2e%2e/%2e%2e/etc/passwd",
		"/static/..\\..\\etc\\passwd", "/static//etc/passwd", "/static/" + secret[1:], "/static/%00", "/static/.", "/static/",
		"/api/v1/clips/..%2f..%2fetc%2fpasswd/audio", "/api/v1/clips/" + lockName + "/audio", "/api/v1/clips/%2e%2e/audio", "/api/v1/clips/../lock/audio",
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

// silentFLAC is some kilobytes that are minutes of digital silence: the limit of
// time has to hold where that of size does not.
func silentFLAC(t *testing.T, seconds int) []byte {
	t.Helper()
	const rate, block, channels = 8000, 4000, 1
	var b bytes.Buffer
	e, err := flac.NewEncoder(&b, &meta.StreamInfo{BlockSizeMin: block, BlockSizeMax: block, SampleRate: rate, NChannels: channels, BitsPerSample: 16})
	if err != nil {
		t.Fatal(err)
	}
	for i := range seconds * rate / block {
		f := &frame.Frame{
			Header: frame.Header{HasFixedBlockSize: true, BlockSize: block, SampleRate: rate, Channels: frame.ChannelsMono, BitsPerSample: 16, Num: uint64(i)},
			Subframes: []*frame.Subframe{{
				SubHeader: frame.SubHeader{Pred: frame.PredConstant}, NSamples: block, Samples: make([]int32, block),
			}},
		}
		if err := e.WriteFrame(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestBombs sends small files that are much sound, or claim to be: the limits of
// package clip, as the server sets them, end each of them.
func TestBombs(t *testing.T) {
	x := serve(t, nil)
	long := silentFLAC(t, 1200)
	t.Logf("twenty minutes of silence in %d bytes", len(long))
	lie := append([]byte("RIFF\xff\xff\xff\xffWAVEfmt \x10\x00\x00\x00\x01\x00\x08\x00\x00\xdc\x05\x00\x00\xb8\x2f\x00\x08\x00\x08\x00data\xff\xff\xff\xff"), make([]byte, 64)...)
	for _, c := range []struct {
		what  string
		bytes []byte
		code  string
	}{
		{"twenty minutes of silence", long, clip.CodeTooLong},
		{"a header that claims 4 GB", lie, ""},
		{"WAV at a rate of thousand millions", bytes.Replace(lie, []byte("\x00\xdc\x05\x00"), []byte("\x00\xca\x9a\x3b"), 1), clip.CodeRate},
		{"nested archives", append([]byte("PK\x03\x04"), make([]byte, 1000)...), clip.CodeNotAudio},
		{"a list of other files", []byte("#EXTM3U\n#EXTINF:10,\nfile:///etc/passwd\nhttp://127.0.0.1:1/x\n"), clip.CodeNotAudio},
		{"a film of links", []byte("ffconcat version 1.0\nfile /etc/passwd\n"), clip.CodeNotAudio},
		{"nothing", nil, clip.CodeEmpty},
	} {
		a := x.post("/api/v1/clips?wait=1", c.bytes)
		if a.StatusCode == http.StatusOK {
			if c.code != "" {
				t.Errorf("%s was measured", c.what)
			}
			continue
		}
		if code := a.fault(t); c.code != "" && code != c.code || a.StatusCode >= 500 {
			t.Errorf("%s: %s, %q, want %q", c.what, a.Status, code, c.code)
		}
	}
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// TestBombsByFFmpeg has ffmpeg decode half an hour of silence that fits in some
// kilobytes, and one that never ends.
func TestBombsByFFmpeg(t *testing.T) {
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("ffmpeg is missing in CI")
		}
		t.Skip("no ffmpeg here to make and decode the file")
	}
	path := filepath.Join(t.TempDir(), "long.mka")
	out, err := exec.Command(ffmpeg, "-v", "error", "-f", "lavfi", "-i", "anullsrc=r=8000:cl=mono", "-t", "1800", "-c:a", "aac", "-b:a", "8k", path).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	long, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	x := serve(t, nil)
	t.Logf("half an hour of silence in %d bytes", len(long))
	if code := x.post("/api/v1/clips?wait=1", long).want(t, http.StatusUnprocessableEntity).fault(t); code != clip.CodeTooLong {
		t.Errorf("half an hour by ffmpeg: %q", code)
	}
	x.healthy()
}

// TestTooSlowToDecode gives the decoder no time at all.
func TestTooSlowToDecode(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.DecodeMost = time.Nanosecond })
	noise := make([]float32, 20*8000)
	for i := range noise {
		noise[i] = float32(math.Sin(float64(i * i)))
	}
	if code := x.post("/api/v1/clips?wait=1", wav(t, noise)).want(t, http.StatusUnprocessableEntity).fault(t); code != clip.CodeTooSlow {
		t.Errorf("%q", code)
	}
}

// TestBrokenForms sends forms that break off or are damaged anywhere, by bytes:
// nothing of any is kept.
func TestBrokenForms(t *testing.T) {
	x := serve(t, nil)
	whole := "--x\r\nContent-Disposition: form-data; name=\"limit\"\r\n\r\n13500\r\n" + formHead + "RIFF....\r\n--x--\r\n"
	for cut := range len(whole) - len("\r\n--x--\r\n") + 4 {
		r := x.request("POST", "/api/v1/clips", strings.NewReader(whole[:cut]))
		r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
		x.do(r).want(t, http.StatusBadRequest).fault(t)
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

// TestSlowWithinALine has a body come too slowly in the middle of each line of a
// form: whatever the reader of the form makes of the line, it is too slow that is
// said.
func TestSlowWithinALine(t *testing.T) {
	for cut := range len(formHead) {
		slow := faultTooSlow(nil)
		p := &paced{failed: slow}
		parts := multipart.NewReader(io.MultiReader(strings.NewReader(formHead[:cut]), iotest.ErrReader(slow)), "x")
		in := form{fields: map[string]string{}}
		err := bodyFault(in.read(parts, func(io.Reader) (*stored, error) { return nil, slow }))
		if got := faultOf(p.cause(err)); got.code != codeTooSlow {
			t.Errorf("after %q: %q", formHead[:cut], got.code)
		}
		if faultOf(err).code != codeTooSlow {
			t.Logf("the reader of the form says %q after %q", faultOf(err).code, formHead[:cut])
		}
	}
}

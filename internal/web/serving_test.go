package web

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/web/access"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// serving is a server that runs on loopback for a test.
type serving struct {
	*Server
	access.Place
	t      *testing.T
	url    string // of the first page, without the stroke at its end
	client *http.Client
	temp   string
	bench  *bench
	stop   func() error // ends it, and gives what Serve gave
}

// serve runs a server until the test ends. Then it must stop in order, leave no
// file behind, have written nothing into its log and have ended what it began.
func serve(t *testing.T, change func(*Config)) *serving {
	t.Helper()
	before := runtime.NumGoroutine()
	temp := t.TempDir()
	var noted notes
	c := Config{
		Listen: "127.0.0.1:0", Temp: temp, Book: filepath.Join(t.TempDir(), "book.sqlite"), Version: "test",
		Log: &noted, Options: Default(),
	}
	if change != nil {
		change(&c)
	}
	b := &bench{usual: jobs.Measure(c.Options.Jobs)}
	c.work = b.do
	s, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	x := &serving{Server: s, t: t, temp: temp, bench: b, client: &http.Client{
		Transport:     &http.Transport{MaxIdleConnsPerHost: 256},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}
	x.Place, x.stop = run(t, s)
	x.url = strings.TrimSuffix(x.URLs[0], "/")
	t.Cleanup(func() {
		x.client.CloseIdleConnections()
		if err := x.stop(); err != nil {
			t.Errorf("it stopped with %v", err)
		}
		wantNoFiles(t, temp)
		if text := noted.String(); text != "" {
			t.Errorf("it wrote down a fault of its own:\n%s", text)
		}
		wantGoroutines(t, before)
	})
	return x
}

// bench measures for a server. A test may put other work in place of measuring.
type bench struct {
	usual jobs.Work
	mu    sync.Mutex
	other jobs.Work // nil: none
}

func (b *bench) do(ctx context.Context, o jobs.Order, decoded func(engine.Seconds)) (measure.Measurement, error) {
	b.mu.Lock()
	work := b.usual
	if b.other != nil {
		work = b.other
	}
	b.mu.Unlock()
	return work(ctx, o, decoded)
}

// replaceWork puts other work in place of measuring; nil measures again.
func (x *serving) replaceWork(work func(ctx context.Context) error) {
	if work == nil {
		x.bench.replace(nil)
		return
	}
	x.bench.replace(func(ctx context.Context, _ jobs.Order, _ func(engine.Seconds)) (measure.Measurement, error) {
		return measure.Measurement{}, work(ctx)
	})
}

func (b *bench) replace(work jobs.Work) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.other = work
}

// run has a server listen, and gives the place and what ends it with what
// Serve gave.
func run(t *testing.T, s *Server) (access.Place, func() error) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	ready := make(chan access.Place, 1)
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, func(p access.Place) error { ready <- p; return nil }) }()
	stop := sync.OnceValue(func() error { cancel(); return <-ended })
	select {
	case p := <-ready:
		t.Cleanup(func() { _ = stop() }) // where the test did not come to it
		return p, stop
	case err := <-ended:
		cancel()
		t.Fatal(err)
		return access.Place{}, nil
	}
}

// notes is a log that several goroutines write.
type notes struct {
	mu sync.Mutex
	b  strings.Builder
}

func (n *notes) Write(p []byte) (int, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.b.Write(p)
}

func (n *notes) String() string {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.b.String()
}

// wantNoFiles wants an empty folder.
func wantNoFiles(t *testing.T, folder string) {
	t.Helper()
	left, err := os.ReadDir(folder)
	if err != nil || len(left) > 0 {
		t.Errorf("%s holds %v (%v); nothing is wanted there", folder, left, err)
	}
}

// soon is how long a test waits for what takes no time but that of others.
const soon = 30 * time.Second

// eventually waits until something holds.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(soon); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("waited in vain: %s", what)
		}
	}
}

// wantGoroutines wants no more goroutines than there were.
func wantGoroutines(t *testing.T, before int) {
	t.Helper()
	for end := time.Now().Add(soon); runtime.NumGoroutine() > before; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			stacks := make([]byte, 1<<20)
			t.Errorf("%d goroutines where %d were:\n%s", runtime.NumGoroutine(), before, stacks[:runtime.Stack(stacks, true)])
			return
		}
	}
}

// answered is an answer with its body read.
type answered struct {
	*http.Response
	body []byte
}

// do sends a request, and holds the answer to openapi.yaml where it is one of the
// API.
func (x *serving) do(r *http.Request) answered {
	x.t.Helper()
	sent, err := x.client.Do(r)
	if err != nil {
		x.t.Fatalf("%s %s: %v", r.Method, r.URL, err)
	}
	defer sent.Body.Close()
	body, err := io.ReadAll(sent.Body)
	if err != nil {
		x.t.Fatalf("%s %s: %v", r.Method, r.URL, err)
	}
	a := answered{sent, body}
	wantDescribed(x.t, r, a)
	return a
}

// request makes a request to the server.
func (x *serving) request(method, path string, body io.Reader) *http.Request {
	x.t.Helper()
	r, err := http.NewRequest(method, x.url+path, body)
	if err != nil {
		x.t.Fatal(err)
	}
	return r
}

func (x *serving) get(path string) answered {
	x.t.Helper()
	return x.do(x.request("GET", path, nil))
}

// send sends JSON.
func (x *serving) send(method, path, text string) answered {
	x.t.Helper()
	r := x.request(method, path, strings.NewReader(text))
	r.Header.Set("Content-Type", "application/json")
	return x.do(r)
}

// post sends a recording with fields, names and values in turn.
func (x *serving) post(path string, recording []byte, fields ...string) answered {
	x.t.Helper()
	r := x.request("POST", path, nil)
	withForm(x.t, r, "pass.wav", recording, fields...)
	return x.do(r)
}

// withForm puts a form with a recording into a request.
func withForm(t *testing.T, r *http.Request, file string, recording []byte, fields ...string) {
	t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for i := 0; i < len(fields); i += 2 {
		if err := m.WriteField(fields[i], fields[i+1]); err != nil {
			t.Fatal(err)
		}
	}
	part, err := m.CreateFormFile("clip", file)
	if err != nil {
		t.Fatal(err)
	}
	_, _ = part.Write(recording) // into memory
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Body, r.ContentLength = io.NopCloser(&b), int64(b.Len())
}

// want wants an answer of this status.
func (a answered) want(t *testing.T, status int) answered {
	t.Helper()
	if a.StatusCode != status {
		t.Fatalf("%s %s: %d wanted, got %s: %.600s", a.Request.Method, a.Request.URL, status, a.Status, a.body)
	}
	return a
}

// fault gives the code of a fault.
func (a answered) fault(t *testing.T) string {
	t.Helper()
	var f fault.Body
	a.into(t, &f)
	if f.Error.Says == "" || f.Error.Do == "" {
		t.Errorf("%s %s: a fault without its sentence: %s", a.Request.Method, a.Request.URL, a.body)
	}
	return f.Error.Code
}

// into reads JSON.
func (a answered) into(t *testing.T, v any) {
	t.Helper()
	if err := json.Unmarshal(a.body, v); err != nil {
		t.Fatalf("%s %s: %v in %.300s", a.Request.Method, a.Request.URL, err, a.body)
	}
}

// What an excerpt is cut out of a shipped pass by, s.
const excerptFrom, excerptTo = 1.2, 5.2

// excerpt gives 4 s of a shipped pass as WAV, from idle into full throttle:
// enough for its verdict, and quicker to measure than the whole.
func excerpt(t testing.TB, name string) []byte {
	t.Helper()
	b, err := excerptOf(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func excerptOf(name string) ([]byte, error) {
	s, err := clip.Open(filepath.Join("..", "..", "samples", name+".wav"))
	if err != nil {
		return nil, err
	}
	rate := float64(s.Rate)
	samples, err := s.Samples.Segment(nil, int(excerptFrom*rate), int(excerptTo*rate))
	if err != nil {
		return nil, err
	}
	return wavOf(samples)
}

// wav gives sound at the working rate as a WAV file.
func wav(t testing.TB, samples audio.Memory) []byte {
	t.Helper()
	b, err := wavOf(samples)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func wavOf(samples audio.Memory) ([]byte, error) {
	f, err := os.CreateTemp("", "topnote-made-*")
	if err != nil {
		return nil, err
	}
	defer os.Remove(f.Name())
	defer f.Close() // read from, in the end
	if err := clip.WriteWAV(f, samples, clip.WorkingRate); err != nil {
		return nil, err
	}
	return os.ReadFile(f.Name())
}

// healthy wants the server to do its work as if nothing had been.
func (x *serving) healthy() {
	x.t.Helper()
	x.get("/api/v1/version").want(x.t, http.StatusOK)
	a := x.post("/api/v1/clips?wait=1", []byte("no recording at all, but it is read and refused"))
	if code := a.want(x.t, http.StatusUnprocessableEntity).fault(x.t); code != clip.CodeNotAudio {
		x.t.Errorf("a recording was refused with %q", code)
	}
	if n := x.queue.Seats(); n != 0 {
		x.t.Errorf("%d seats are taken", n)
	}
}

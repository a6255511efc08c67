package web

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// quietServer is a server for fuzzing that measures nothing.
func quietServer(f *testing.F, lan bool) *Server {
	f.Helper()
	s, err := New(Config{Listen: "127.0.0.1:0", LAN: lan, Temp: f.TempDir(), Book: filepath.Join(f.TempDir(), "book.sqlite"), Options: Default(), work: func(context.Context, jobs.Order, func(engine.Seconds)) (measure.Measurement, error) {
		return measure.Measurement{}, fault.Gone()
	}})
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() {
		if err := s.Close(); err != nil {
			f.Error(err)
		}
	})
	return s
}

// FuzzForm sends any bytes as a form: each gets an answer that is no fault of the
// program, and what is refused leaves nothing behind.
func FuzzForm(f *testing.F) {
	whole := "--x\r\nContent-Disposition: form-data; name=\"limit\"\r\n\r\n13500\r\n" + formHead + "RIFF....\r\n--x--\r\n"
	f.Add("multipart/form-data; boundary=x", []byte(whole))
	f.Add("multipart/form-data; boundary=x", []byte(whole[:len(whole)/2]))
	f.Add("multipart/form-data; boundary=\"x y\"", []byte("--x y\r\n\r\n\r\n--x y--"))
	f.Add("multipart/form-data; boundary=x", []byte("--x\r\nContent-Disposition: form-data; name=clip; filename*=utf-8''..%2F..%2Fx\r\nContent-Transfer-Encoding: quoted-printable\r\n\r\n=\r\n--x--"))
	f.Add("multipart/mixed; boundary=x", []byte(whole))
	f.Add("text/plain", []byte("x"))
	s := quietServer(f, false)
	handler := s.Handler()
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		r := httptest.NewRequest("POST", "http://localhost/api/v1/clips", bytes.NewReader(body))
		r.Header.Set("Content-Type", kind)
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		if w.Code >= 500 {
			t.Errorf("%d: %s", w.Code, w.Body)
		}
		var j jobBody
		answered{w.Result(), w.Body.Bytes()}.read(t, w.Code, &j)
		if w.Code != http.StatusAccepted {
			wantEmptyStore(t, s)
			return
		}
		if !utf8.ValidString(j.Name) || strings.ContainsAny(j.Name, "/\\\x00\n\r") || j.Name == "" {
			t.Errorf("it is called %q", j.Name)
		}
		if _, ok := s.queue.Wait(t.Context(), j.ID); !ok || !s.queue.Remove(j.ID) {
			t.Error("the clip is not there")
		}
		wantEmptyStore(t, s)
	})
}

// read reads a job from an answer that has one.
func (a answered) read(t *testing.T, status int, j *jobBody) {
	t.Helper()
	if status == http.StatusAccepted {
		a.Response.Request = httptest.NewRequest("POST", "/", nil)
		a.into(t, j)
	}
}

// FuzzJSON sends any bytes as JSON to all that reads some.
func FuzzJSON(f *testing.F) {
	for _, text := range []string{
		`{"temp":31,"rh":"60","altitude":"850 m","since":"temp=8 rh=80 altitude=120","filter_drop":"assumed","units":"us"}`,
		`{"name":"saw","engine":{"strokes":2,"cylinders":1},"limits":{"max_rpm":13500,"idle_rpm":null},"notes":"x"}`,
		`{"clip":"x","recorded":"2026-05-31T12:00:00Z","screws":{"h_turns":"1 1/4"},"air":"temp=8 altitude=0"}`,
		`{"limit":"13500"}`, `{"temp":1e400}`, `null`, `[]`, `{"name":"\u0000"}`,
	} {
		for i := range jsonReaders {
			f.Add(i, []byte(text))
		}
	}
	s := quietServer(f, false)
	if _, err := s.books.AddMachine(book.Machine{Name: "saw"}); err != nil {
		f.Fatal(err)
	}
	handler := s.Handler()
	f.Fuzz(func(t *testing.T, which int, body []byte) {
		if which < 0 || which >= len(jsonReaders) {
			return
		}
		to := jsonReaders[which]
		r := httptest.NewRequest(to.method, "http://localhost"+jobs.Root+to.path, bytes.NewReader(body))
		r.Header.Set("Content-Type", fault.TypeJSON)
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		if w.Code >= 500 {
			t.Errorf("%s %s %q: %d %s", to.method, to.path, body, w.Code, w.Body)
		}
	})
}

// jsonReaders are the routes that read JSON.
var jsonReaders = []struct{ method, path string }{
	{"POST", "/air"}, {"POST", "/machines"}, {"PUT", "/machines/saw"}, {"POST", "/machines/saw/passes"}, {"POST", "/clips/none/again"},
}

// FuzzAddress asks for any address with any query, by any name: nothing but what
// is embedded is ever given out, and nothing without the code.
func FuzzAddress(f *testing.F) {
	for _, path := range []string{"/", "/static/../../etc/passwd", "/api/v1/machines/%2e%2e/why?from=1&to=x", "/api/v1/compare?clips=a,b", "/clips/x", "/book/%ff",
		"/enter?code=AAAA", "/air?temp=1e999&units=us", "/api/v1/machines/saw/passes/9223372036854775808", "/compare?a=x&b=y"} {
		f.Add("GET", path, "localhost", "text/html")
		f.Add("POST", path, "127.0.0.1:1", "*/*")
	}
	f.Add("GET", "/", "evil.example", "")
	open, closed := quietServer(f, false), quietServer(f, true)
	handlers := map[*Server]http.Handler{open: open.Handler(), closed: closed.Handler()}
	f.Fuzz(func(t *testing.T, method, path, host, accept string) {
		u, err := url.Parse(path)
		if err != nil || method == "" || strings.ContainsFunc(method, func(c rune) bool { return c < 'A' || c > 'Z' }) || method == "CONNECT" {
			return
		}
		for s := range handlers {
			r := httptest.NewRequest(method, "http://localhost/", strings.NewReader("temp=20&altitude=0"))
			r.URL, r.Host, r.RequestURI = u, host, path
			r.Header.Set("Accept", accept)
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			w := httptest.NewRecorder()
			handlers[s].ServeHTTP(w, r)
			if w.Code == http.StatusInternalServerError {
				t.Errorf("%s %q: %s", method, path, w.Body)
			}
			if s == closed && w.Code < 400 {
				t.Errorf("%s %q without the code: %d %s", method, path, w.Code, w.Body)
			}
			if strings.HasSuffix(host, ".example") && w.Code != http.StatusMisdirectedRequest {
				t.Errorf("called %q: %d", host, w.Code)
			}
		}
	})
}

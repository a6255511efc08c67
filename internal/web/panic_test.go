package web

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/parallel"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// overrun panics in a goroutine below a goroutine, as a fault in a measurement
// would.
func overrun() error {
	var outer parallel.Group
	outer.Go(func() error {
		var inner parallel.Group
		inner.Go(func() error {
			var none []int
			none[len(none)] = 1
			return nil
		})
		return inner.Wait()
	})
	return outer.Wait()
}

// TestPanicIsContained has one of three jobs panic deep inside: the results of the
// job before it and of the one beside it are there, the page of the failed one says
// so in one sentence, the fault is logged with its place, and the server goes on.
func TestPanicIsContained(t *testing.T) {
	for what, panics := range map[string]func() error{
		"in a goroutine far below": overrun,
		"in the worker itself":     func() error { panic("a fault of ours") },
	} {
		t.Run(what, func(t *testing.T) { panicIsContained(t, panics) })
	}
}

func panicIsContained(t *testing.T, panics func() error) {
	x := serve(t, nil)
	var noted notes
	x.log.SetOutput(&noted)
	before := x.post("/api/v1/clips?wait=1", excerpt(t, "rich")).want(t, http.StatusOK).Header.Get("Location")

	failing, beside := make(chan bool), make(chan bool)
	x.bench.replace(func(ctx context.Context, o jobs.Order, decoded func(engine.Seconds)) (measure.Measurement, error) {
		if o.Name == "bad.wav" {
			<-beside // is being measured
			defer close(failing)
			return measure.Measurement{}, panics()
		}
		close(beside)
		<-failing
		return x.bench.usual(ctx, o, decoded)
	})
	var good, bad jobBody
	x.post("/api/v1/clips", excerpt(t, "over"), "limit", "13500").want(t, http.StatusAccepted).into(t, &good)
	x.post("/api/v1/clips", excerpt(t, "rich"), "name", "bad.wav").want(t, http.StatusAccepted).into(t, &bad)
	x.waitFor(bad.ID, jobs.Failed)
	x.waitFor(good.ID, jobs.Done)

	for _, path := range []string{before, good.Links.Self} {
		x.get(path+"/report").want(t, http.StatusOK)
	}
	if code := x.get(bad.Links.Report).want(t, http.StatusInternalServerError).fault(t); code != fault.CodeInside {
		t.Errorf("the panic is called %q", code)
	}
	const sentence = "The program made a mistake; try again; if it happens again, report it."
	page := x.get(bad.Links.Page).want(t, http.StatusInternalServerError)
	if text := string(page.body); strings.Count(text, sentence) != 1 || strings.Contains(text, "goroutine") || strings.Contains(text, "panic") {
		t.Errorf("the page says %s", text)
	}
	if text := noted.String(); !strings.Contains(text, "panic: ") || !strings.Contains(text, "panic_test.go:") {
		t.Errorf("logged is %q", text)
	}
	x.replaceWork(nil)
	x.healthy()
}

// TestPanicOfAHandler has a handler panic: that request gets the sentence, and one
// that means to break the connection off does.
func TestPanicOfAHandler(t *testing.T) {
	var noted notes
	s, err := New(Config{Listen: "127.0.0.1:0", Temp: t.TempDir(), Log: &noted, Options: Default()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	handler := s.guard.Handler(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/abort" {
			panic(http.ErrAbortHandler)
		}
		panic("a fault of ours")
	}))
	w := httptest.NewRecorder()
	handler.ServeHTTP(w, httptest.NewRequest("GET", "http://localhost/", nil))
	if w.Code != http.StatusInternalServerError || !strings.Contains(w.Body.String(), "the program made a mistake") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if text := noted.String(); !strings.Contains(text, "a fault of ours") || !strings.Contains(text, "panic_test.go:") {
		t.Errorf("logged is %q", text)
	}
	defer func() {
		if p := recover(); p != http.ErrAbortHandler {
			t.Errorf("to break the connection off became %v", p)
		}
	}()
	handler.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest("GET", "http://localhost/abort", nil))
}

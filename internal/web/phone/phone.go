package phone

import (
	"fmt"
	"io"
	"log"
	"net/http"

	"topnote/internal/parallel"
	"topnote/internal/web/api"
	"topnote/internal/web/books"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
	"topnote/internal/web/pace"
	"topnote/internal/web/page"
	"topnote/internal/web/policy"
)

// local is the address that requests seem to come from: this device.
const local = "127.0.0.1:1"

// Config describes the program in a browser.
type Config struct {
	Book    string    // path of the book in the browser's storage, from the root
	Version string    // of the program
	Base    string    // path below which the pages are, without a slash at its end: "/school/app"
	Log     io.Writer // for faults of the program
}

// Limits gives those of recordings and results here. They are kept in memory, which a
// phone has little of: judgements.
func Limits() jobs.Options {
	o := jobs.Default()
	o.MaxBody, o.Kept, o.KeptSound, o.KeptBytes = 100_000_000, 12, 1200, 150_000_000
	return o
}

// New gives the handler of all requests, the pages' and the API's.
func New(c Config) http.Handler {
	o, speed, shared := Limits(), pace.Default(), books.New(c.Book)
	l := log.New(c.Log, "topnote: ", 0)
	queue := jobs.New(o, jobs.Measure(o), l)
	intake := &jobs.Intake{
		Options: o, Pace: speed, Queue: queue, Store: jobs.NewStore(&memory{}, o.MaxStored()),
		Client: func(*http.Request) string { return "" }, Machine: shared.Query,
	}
	mux := http.NewServeMux()
	(&api.API{Intake: intake, Queue: queue, Books: shared, Pace: speed, Log: l, Version: c.Version}).Register(mux)
	(&page.Pages{Intake: intake, Queue: queue, Books: shared, Pace: speed, Log: l}).Register(mux)
	(&ear{machine: intake.Query, log: l}).register(mux)
	return below(c.Base, safely(mux, l))
}

// safely sets the safety headers, and answers for a handler that panics.
func safely(next http.Handler, l *log.Logger) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		policy.Set(w.Header(), policy.SameOrigin) // the page that keeps this program alive shows it
		err := parallel.Try(func() error {
			next.ServeHTTP(w, r)
			return nil
		})
		if err != nil {
			fault.LogError(l, fmt.Errorf("phone: answering: %w", err))
			fault.Inside(nil).Refuse(w)
		}
	})
}

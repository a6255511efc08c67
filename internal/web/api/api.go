// Package api is the server's API for programs: JSON and the forms of a result,
// below jobs.Root.
//
// Its routes, handlers and the description in openapi.yaml are the same set, held
// together by a test. Every handler returns an error, which becomes a fault as
// JSON in one place, answer. Start with API.Register.
//
// Sources: RFC 9110 (HTTP); OpenAPI 3.0.
package api

import (
	"encoding/json"
	"errors"
	"io"
	"log"
	"mime"
	"net/http"
	"slices"
	"strings"

	"topnote/internal/web/books"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
	"topnote/internal/web/pace"
)

// The kinds of answers beside JSON.
const (
	typeHTML = "text/html; charset=utf-8"
	typeText = "text/plain; charset=utf-8"
	typeCSV  = "text/csv; charset=utf-8"
	typeVTT  = "text/vtt; charset=utf-8"
	typeSVG  = "image/svg+xml"
	typePNG  = "image/png"
	typeYAML = "application/yaml"
)

// documentPolicy is the content policy of a document made from somebody's
// recording and opened by itself: it may show what is in it, and do nothing.
const documentPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; media-src 'self'; " +
	"base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox"

// API answers programs.
type API struct {
	Intake  *jobs.Intake
	Queue   *jobs.Queue
	Books   *books.Shared
	Pace    pace.Options
	Log     *log.Logger
	Version string // of the program
}

// Route is one thing that the API does.
type Route struct {
	Method, Path string // below jobs.Root
	do           handler
}

// handler answers a request, or returns why not, before it has written anything.
type handler func(http.ResponseWriter, *http.Request) error

// Routes gives the whole API. openapi.yaml has the same; a test holds them
// together.
func (a *API) Routes() []Route {
	return slices.Concat(
		[]Route{
			{"GET", "/version", a.getVersion},
			{"GET", "/openapi.yaml", getDescription},
			{"POST", "/air", a.postAir},
		},
		a.clipRoutes(), a.compareRoutes(), a.bookRoutes())
}

// Register adds the API to mux.
func (a *API) Register(mux *http.ServeMux) {
	methods := map[string][]string{}
	for _, r := range a.Routes() {
		mux.HandleFunc(r.Method+" "+jobs.Root+r.Path, a.answer(r.do))
		methods[r.Path] = append(methods[r.Path], r.Method)
	}
	for path, known := range methods {
		mux.HandleFunc(jobs.Root+path, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Allow", strings.Join(known, ", "))
			fault.Method(r.Method).Refuse(w)
		})
	}
	mux.HandleFunc("/api/", func(w http.ResponseWriter, _ *http.Request) { noAddress().Refuse(w) })
}

// answer makes an http.HandlerFunc of a handler.
func (a *API) answer(do handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := do(w, r); err != nil {
			fault.Log(a.Log, err).Refuse(w)
		}
	}
}

// draw answers with what write writes, whole or not at all.
func (a *API) draw(w http.ResponseWriter, r *http.Request, kind string, write func(io.Writer) error) error {
	b, err := a.Queue.Draw(r.Context(), write)
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	if kind == typeHTML || kind == typeSVG {
		h.Set("Content-Security-Policy", documentPolicy)
	}
	a.Pace.Answer(w)  // it may have waited
	_, _ = w.Write(b) // an error here means that the client has gone
	return nil
}

// maxJSON is the size of the JSON that is taken, bytes.
const maxJSON = 64 << 10

// readJSON reads the body of a request into v. Members that are not known are
// refused: they are slips.
func (a *API) readJSON(w http.ResponseWriter, r *http.Request, v any) error {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != fault.TypeJSON {
		return notJSON()
	}
	body := a.Pace.Body(w, r, maxJSON)
	defer body.Done()
	d := json.NewDecoder(body)
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return jsonFault(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return badJSON(err)
	}
	return nil
}

// jsonFault separates faults of the JSON from those of the connection.
func jsonFault(err error) error {
	var large *http.MaxBytesError
	var own *fault.Fault
	if errors.As(err, &large) || errors.As(err, &own) {
		return err
	}
	return badJSON(err)
}

// versionBody is the version of the program and of the API.
type versionBody struct {
	Version string `json:"version"`
	API     string `json:"api"`
}

func (a *API) getVersion(w http.ResponseWriter, _ *http.Request) error {
	fault.WriteJSON(w, http.StatusOK, versionBody{a.Version, "v1"})
	return nil
}

func getDescription(w http.ResponseWriter, _ *http.Request) error {
	w.Header().Set("Content-Type", typeYAML)
	_, _ = w.Write(Description) // an error here means that the client has gone
	return nil
}

package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"slices"
	"strings"
)

// The kinds of answers.
const (
	typeJSON = "application/json"
	typeHTML = "text/html; charset=utf-8"
	typeText = "text/plain; charset=utf-8"
	typeCSV  = "text/csv; charset=utf-8"
	typeVTT  = "text/vtt; charset=utf-8"
	typeSVG  = "image/svg+xml"
	typePNG  = "image/png"
	typeYAML = "application/yaml"
)

// apiRoot is what the addresses of the API begin with.
const apiRoot = "/api/v1"

// route is one thing that the API does.
type route struct {
	method, path string // below apiRoot
	do           func(http.ResponseWriter, *http.Request) error
}

// routes is the whole API. openapi.yaml has the same, a test holds them
// together.
func (s *Server) routes() []route {
	return slices.Concat(
		[]route{
			{"GET", "/version", s.getVersion},
			{"GET", "/openapi.yaml", s.getOpenAPI},
			{"POST", "/air", s.postAir},
		},
		s.clipRoutes(), s.compareRoutes(), s.bookRoutes())
}

// routeAPI puts the API on a mux.
func (s *Server) routeAPI(mux *http.ServeMux) {
	methods := map[string][]string{}
	for _, r := range s.routes() {
		mux.HandleFunc(r.method+" "+apiRoot+r.path, s.answer(r.do))
		methods[r.path] = append(methods[r.path], r.method)
	}
	for path, known := range methods {
		mux.HandleFunc(apiRoot+path, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Allow", strings.Join(known, ", "))
			refuse(w, faultMethod(r.Method))
		})
	}
	mux.HandleFunc("/api/", func(w http.ResponseWriter, _ *http.Request) { refuse(w, faultAddress()) })
}

// answer makes a handler of what may fail.
func (s *Server) answer(do func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := do(w, r); err != nil {
			refuse(w, s.noted(err))
		}
	}
}

// noted gives the fault of an error, and writes down what is one of the
// program's or the machine's.
func (s *Server) noted(err error) *fault {
	f := faultOf(err)
	if f.status == http.StatusInternalServerError || f.code == codeBookFile {
		s.log.Printf("%v", errors.Join(f.cause))
	}
	return f
}

// drawing answers with what write gives, whole or not at all.
func (s *Server) drawing(w http.ResponseWriter, r *http.Request, kind string, write func(io.Writer) error) error {
	b, err := s.drawn(r, write)
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	if kind == typeHTML || kind == typeSVG {
		h.Set("Content-Security-Policy", documentPolicy)
	}
	s.paceAnswer(w)   // it may have waited
	_, _ = w.Write(b) // the client has gone, then
	return nil
}

// drawn gives what write gives, when its turn has come.
func (s *Server) drawn(r *http.Request, write func(io.Writer) error) ([]byte, error) {
	var b bytes.Buffer
	err := s.inTurn(r.Context(), func() error { return write(&b) })
	return b.Bytes(), err
}

// inTurn does what takes a moment of a core. Not more of it goes on at once than
// there are cores.
func (s *Server) inTurn(ctx context.Context, do func() error) error {
	select {
	case s.draw <- struct{}{}:
		defer func() { <-s.draw }()
		return do()
	case <-ctx.Done():
		return faultGone()
	}
}

// maxJson is the size of the JSON that is taken, bytes.
const maxJson = 64 << 10

// readJSON reads the body of a request into v. Members that are not known are
// refused: they are slips.
func (s *Server) readJSON(w http.ResponseWriter, r *http.Request, v any) error {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != typeJSON {
		return faultNotJSON()
	}
	body := s.paceBody(w, r, maxJson)
	defer body.done()
	d := json.NewDecoder(body)
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return jsonFault(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return faultJSON(err)
	}
	return nil
}

// jsonFault tells what is wrong with the JSON from what is wrong with the way it
// came.
func jsonFault(err error) error {
	var large *http.MaxBytesError
	var own *fault
	if errors.As(err, &large) || errors.As(err, &own) {
		return err
	}
	return faultJSON(err)
}

// versionBody says what answers.
type versionBody struct {
	Version string `json:"version"`
	API     string `json:"api"`
}

func (s *Server) getVersion(w http.ResponseWriter, _ *http.Request) error {
	writeJSON(w, http.StatusOK, versionBody{s.config.Version, "v1"})
	return nil
}

func (s *Server) getOpenAPI(w http.ResponseWriter, _ *http.Request) error {
	w.Header().Set("Content-Type", typeYAML)
	_, _ = w.Write(openAPI)
	return nil
}

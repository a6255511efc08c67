package web

import (
	"bytes"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"topnote/internal/web/api"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
)

// described is openapi.yaml, read once.
var described = sync.OnceValues(func() (*openapi3.T, error) {
	doc, err := openapi3.NewLoader().LoadFromData(api.Description)
	if err != nil {
		return nil, err
	}
	return doc, doc.Validate(openapi3.NewLoader().Context)
})

// wantDescribed holds an answer of the API to openapi.yaml: the address, the
// status, the kind and, of JSON, the schema. The request is not held to it: tests
// send what is wrong as well.
func wantDescribed(t *testing.T, r *http.Request, a answered) {
	t.Helper()
	if !strings.HasPrefix(r.URL.Path, jobs.Root+"/") || r.Method == http.MethodHead {
		return
	}
	doc, err := described()
	if err != nil {
		t.Fatal(err)
	}
	route := routeOf(doc, r)
	if route == nil {
		if a.StatusCode < 400 {
			t.Errorf("%s %s answers %s and is not described", r.Method, r.URL, a.Status)
		}
		wantFault(t, doc, a)
		return
	}
	wantAnswer(t, r, route, a)
}

// routeOf finds the operation that a request is; nil where it is none.
func routeOf(doc *openapi3.T, r *http.Request) *routers.Route {
	asked := strings.Split(strings.TrimPrefix(r.URL.EscapedPath(), jobs.Root), "/")
	for path, item := range doc.Paths.Map() {
		fits := slices.EqualFunc(strings.Split(path, "/"), asked, func(known, asked string) bool {
			return known == asked || strings.HasPrefix(known, "{")
		})
		if o := item.GetOperation(r.Method); o != nil && fits {
			return &routers.Route{Spec: doc, Path: path, PathItem: item, Method: r.Method, Operation: o}
		}
	}
	return nil
}

func wantAnswer(t *testing.T, r *http.Request, route *routers.Route, a answered) {
	t.Helper()
	input := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{Request: r, Route: route},
		Status:                 a.StatusCode, Header: a.Header,
		Options: &openapi3filter.Options{ExcludeResponseBody: !strings.HasPrefix(a.Header.Get("Content-Type"), fault.TypeJSON)},
	}
	input.SetBodyBytes(bytes.Clone(a.body))
	if err := openapi3filter.ValidateResponse(t.Context(), input); err != nil {
		t.Errorf("%s %s answers otherwise than described: %v", r.Method, r.URL, err)
	}
	wanted := route.Operation.Responses.Status(a.StatusCode)
	if wanted == nil || len(wanted.Value.Content) == 0 || a.StatusCode == http.StatusRequestedRangeNotSatisfiable {
		return
	}
	kind, _, _ := strings.Cut(a.Header.Get("Content-Type"), ";")
	if wanted.Value.Content.Get(kind) == nil {
		t.Errorf("%s %s answers with %s, which is not described", r.Method, r.URL, kind)
	}
}

// wantFault holds a fault to its schema.
func wantFault(t *testing.T, doc *openapi3.T, a answered) {
	t.Helper()
	var v any
	a.into(t, &v)
	if err := doc.Components.Schemas["Fault"].Value.VisitJSON(v); err != nil {
		t.Errorf("%s %s: %v", a.Request.Method, a.Request.URL, err)
	}
}

// TestOpenAPIServed wants the same bytes from the server.
func TestOpenAPIServed(t *testing.T) {
	x := serve(t, nil)
	if got := x.get("/api/v1/openapi.yaml").want(t, http.StatusOK).body; !bytes.Equal(got, api.Description) {
		t.Errorf("the description is served with %d bytes; it has %d", len(got), len(api.Description))
	}
	x.get("/api/v1/version").want(t, http.StatusOK)
}

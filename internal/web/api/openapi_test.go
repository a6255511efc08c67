package api

import (
	"slices"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
)

// described is openapi.yaml, read once.
var described = sync.OnceValues(func() (*openapi3.T, error) {
	doc, err := openapi3.NewLoader().LoadFromData(Description)
	if err != nil {
		return nil, err
	}
	return doc, doc.Validate(openapi3.NewLoader().Context)
})

// TestOpenAPIIsTheAPI wants the same methods and addresses in openapi.yaml and among
// the routes.
func TestOpenAPIIsTheAPI(t *testing.T) {
	doc, err := described()
	if err != nil {
		t.Fatal(err)
	}
	var there, here []string
	for path, item := range doc.Paths.Map() {
		for method := range item.Operations() {
			there = append(there, method+" "+path)
		}
	}
	for _, r := range new(API).Routes() {
		here = append(here, r.Method+" "+r.Path)
	}
	slices.Sort(there)
	slices.Sort(here)
	for _, r := range here {
		if !slices.Contains(there, r) {
			t.Errorf("%s is not in openapi.yaml", r)
		}
	}
	for _, r := range there {
		if !slices.Contains(here, r) {
			t.Errorf("openapi.yaml has %s, the routes do not", r)
		}
	}
	if len(here) < 30 {
		t.Errorf("only %d routes", len(here))
	}
}

// TestOpenAPIStatuses wants the status of each kind of success to be described,
// and faults of every operation.
func TestOpenAPIStatuses(t *testing.T) {
	doc, err := described()
	if err != nil {
		t.Fatal(err)
	}
	for path, item := range doc.Paths.Map() {
		for method, o := range item.Operations() {
			if o.Responses.Default() == nil || o.Summary == "" || o.OperationID == "" {
				t.Errorf("%s %s lacks faults, a summary or an id", method, path)
			}
		}
	}
}

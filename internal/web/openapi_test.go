package web

import (
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
)

func TestOpenAPILoads(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(openAPI)
	if err != nil {
		t.Fatal(err)
	}
	if err := doc.Validate(t.Context()); err != nil {
		t.Fatal(err)
	}
}

package web

import _ "embed"

// openAPI describes the API as OpenAPI 3.1 does.
//
//go:embed openapi.yaml
var openAPI []byte

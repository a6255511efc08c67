package api

import _ "embed"

// Description describes the API in OpenAPI 3.0, as YAML.
//
//go:embed openapi.yaml
var Description []byte

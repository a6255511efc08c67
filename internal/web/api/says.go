package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"topnote/internal/web/fault"
)

func badJSON(cause error) *fault.Fault {
	return &fault.Fault{Status: http.StatusBadRequest, Code: fault.CodeForm, Cause: cause,
		Says: "this is not the JSON that is expected here" + jsonDetail(cause), Do: "see /api/v1/openapi.yaml"}
}

func notJSON() *fault.Fault {
	return &fault.Fault{Status: http.StatusUnsupportedMediaType, Code: fault.CodeForm,
		Says: "JSON is expected here (Content-Type: application/json)", Do: "see /api/v1/openapi.yaml"}
}

func noAddress() *fault.Fault {
	return &fault.Fault{Status: http.StatusNotFound, Code: fault.CodeAddress,
		Says: "there is nothing at this address", Do: "see /api/v1/openapi.yaml"}
}

func venturiAlone() *fault.Fault {
	return fault.Entry("venturi_drop needs filter_drop", "give both")
}

// jsonDetail gives what is wrong with JSON where that can be said in a few words.
func jsonDetail(err error) string {
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) && kind.Field != "" {
		return fmt.Sprintf(": %s cannot be a JSON %s", kind.Field, kind.Value)
	}
	if err != nil {
		if _, field, ok := strings.Cut(err.Error(), "unknown field "); ok {
			return ": there is no member " + field
		}
	}
	return ""
}

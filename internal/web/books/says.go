package books

import (
	"fmt"
	"net/http"

	"topnote/internal/web/fault"
)

func noPass() *fault.Fault {
	return &fault.Fault{Status: http.StatusNotFound, Code: fault.CodeUnknown,
		Says: "this machine has no such pass", Do: "choose among its passes"}
}

func badNumber(name string) *fault.Fault {
	return fault.Entry(fmt.Sprintf("%s is missing or not valid", name), "see /api/v1/openapi.yaml")
}

func nothingToStore() *fault.Fault {
	return &fault.Fault{Status: http.StatusUnprocessableEntity, Code: fault.CodeEntry,
		Says: "nothing was heard that is worth keeping: neither top speed nor idle", Do: "record the pass again"}
}

func anotherSound() *fault.Fault {
	return &fault.Fault{Status: http.StatusConflict, Code: fault.CodeEntry,
		Says: "this is not the recording that was measured for this pass", Do: "send the file whose SHA-256 is in the report of the pass"}
}

package fault

import (
	"fmt"
	"net/http"
	"time"
)

// The codes of faults, beside those of package clip.
const (
	CodeEntry    = "entry"      // what was entered cannot be used
	CodeUnknown  = "unknown"    // it is not in the book, or no such clip
	CodeKnown    = "known"      // the book has it already
	CodeNoBook   = "no-book"    // there is no book yet
	CodeBookFile = "book-file"  // the file of the book cannot be used
	CodeBusy     = "busy"       // all seats are taken
	CodeDisk     = "disk"       // the disk for recordings is full or fails
	CodeTooBig   = "too-big"    // more bytes than are taken
	CodeTooSlow  = "too-slow"   // the bytes came too slowly
	CodeForm     = "form"       // the form is damaged or not what is wanted
	CodeNoClip   = "no-clip"    // the form holds no recording
	CodeNotDone  = "not-done"   // the clip is not measured yet
	CodeAddress  = "no-address" // nothing is served there
	CodeMethod   = "method"     // not with this method
	CodeOrigin   = "origin"     // requested by another page
	CodeHost     = "host"       // requested by a name that is not this server's
	CodeAccess   = "access"     // the access code is missing or wrong
	CodeWait     = "wait"       // too many wrong access codes
	CodeGone     = "gone"       // the client has left, or the server stops
	CodeInside   = "inside"     // a fault of the program
	CodeOther    = "other"      // clips that were measured with different entries
)

// Entry is for a field that cannot be used.
func Entry(says, do string) *Fault {
	return &Fault{Status: http.StatusBadRequest, Code: CodeEntry, Says: says, Do: do}
}

// Form is for a body that breaks off or is damaged.
func Form(cause error) *Fault {
	return &Fault{Status: http.StatusBadRequest, Code: CodeForm, Cause: cause,
		Says: "the form is damaged, or broke off", Do: "send it again"}
}

// TooBig is for a body with more than limit bytes.
func TooBig(limit int64) *Fault {
	const mega = 1e6
	return &Fault{Status: http.StatusRequestEntityTooLarge, Code: CodeTooBig,
		Says: fmt.Sprintf("this is larger than the %.3g MB that are taken", float64(limit)/mega), Do: "cut out the pass and send that"}
}

// NoJob is for the id of a clip that is not here.
func NoJob() *Fault {
	return &Fault{Status: http.StatusNotFound, Code: CodeUnknown,
		Says: "there is no such recording here any more", Do: "send it again; results are kept for an hour"}
}

// Method is for a method that an address does not have.
func Method(method string) *Fault {
	return &Fault{Status: http.StatusMethodNotAllowed, Code: CodeMethod,
		Says: fmt.Sprintf("%q is not possible at this address", method), Do: "see /api/v1/openapi.yaml"}
}

// Busy is for a recording that finds no seat; retry is when to try again.
func Busy(retry time.Duration) *Fault {
	return &Fault{Status: http.StatusServiceUnavailable, Code: CodeBusy, Retry: retry,
		Says: "the server is busy with other recordings", Do: "wait a few seconds and send it again"}
}

// Gone is for work that was given up.
func Gone() *Fault {
	return &Fault{Status: http.StatusServiceUnavailable, Code: CodeGone,
		Says: "the work on this was cancelled", Do: "send it again"}
}

// Inside is for a fault of this program.
func Inside(cause error) *Fault {
	return &Fault{Status: http.StatusInternalServerError, Code: CodeInside, Cause: cause,
		Says: "the program made a mistake", Do: "try again; if it happens again, report it"}
}

// NoBook does not say where the book would be: others than its owner may read
// this.
func NoBook() *Fault {
	return &Fault{Status: http.StatusNotFound, Code: CodeNoBook, Says: "there is no book yet", Do: "add a machine to start it"}
}

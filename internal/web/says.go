package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"syscall"
	"time"
)

// Every sentence of the server that a user can read, but for those of the page
// and of the results themselves.

// The codes of faults, beside those of package clip.
const (
	codeEntry    = "entry"      // what was entered cannot be used
	codeUnknown  = "unknown"    // it is not in the book, or no such clip
	codeKnown    = "known"      // the book has it already
	codeNoBook   = "no-book"    // there is no book yet
	codeBookFile = "book-file"  // the file of the book cannot be used
	codeBusy     = "busy"       // all seats are taken
	codeTooBig   = "too-big"    // more bytes than are taken
	codeTooSlow  = "too-slow"   // the bytes came too slowly
	codeForm     = "form"       // the form is damaged or not what is wanted
	codeNoClip   = "no-clip"    // the form holds no recording
	codeNotDone  = "not-done"   // the clip is not measured yet
	codeAddress  = "no-address" // nothing is served there
	codeMethod   = "method"     // not with this method
	codeOrigin   = "origin"     // asked from another page
	codeHost     = "host"       // asked by a name that is not this server's
	codeAccess   = "access"     // the code is missing or wrong
	codeWait     = "wait"       // too many wrong codes
	codeGone     = "gone"       // whoever asked has left, or the server stops
	codeInside   = "inside"     // a fault of the program
	codeOther    = "other"      // clips that were measured with different entries
)

// unnamed stands for a recording that came without a name.
const unnamed = "recording"

// remarkBrowser is a remark of a report.
const remarkBrowser = "the browser that sent it decoded it first"

func faultTooBig(limit int64) *fault {
	const mega = 1e6
	return &fault{status: http.StatusRequestEntityTooLarge, code: codeTooBig,
		says: fmt.Sprintf("this is larger than the %.3g MB that are taken", float64(limit)/mega), do: "cut out the pass and send that"}
}

func faultTooSlow(cause error) *fault {
	return &fault{status: http.StatusRequestTimeout, code: codeTooSlow, cause: cause,
		says: "the recording came too slowly, or stopped coming", do: "see to the connection and send it again"}
}

func faultBusy(retry time.Duration) *fault {
	return &fault{status: http.StatusServiceUnavailable, code: codeBusy, retry: retry,
		says: "the server is busy with other recordings", do: "wait a few seconds and send it again"}
}

func faultForm(cause error) *fault {
	return &fault{status: http.StatusBadRequest, code: codeForm, cause: cause,
		says: "the form is damaged, or broke off", do: "send it again"}
}

func faultNotForm() *fault {
	return &fault{status: http.StatusUnsupportedMediaType, code: codeForm,
		says: "a recording is sent as a form (multipart/form-data)", do: "send it in the field clip; /api/v1/openapi.yaml shows how"}
}

func faultField(name string) *fault {
	return &fault{status: http.StatusBadRequest, code: codeForm,
		says: fmt.Sprintf("the form has a field %q that is not known here, or too much in it", name), do: "leave it out"}
}

func faultTwice(name string) *fault {
	return &fault{status: http.StatusBadRequest, code: codeForm,
		says: fmt.Sprintf("the form has the field %q more than once", name), do: "send one recording at a time"}
}

func faultNoClip() *fault {
	return &fault{status: http.StatusBadRequest, code: codeNoClip,
		says: "the form holds no recording", do: "choose one, or record one, and send it in the field clip"}
}

func faultJSON(cause error) *fault {
	return &fault{status: http.StatusBadRequest, code: codeForm, cause: cause,
		says: "this is not the JSON that is wanted here" + jsonDetail(cause), do: "see /api/v1/openapi.yaml"}
}

func faultNotJSON() *fault {
	return &fault{status: http.StatusUnsupportedMediaType, code: codeForm,
		says: "JSON is wanted here (Content-Type: application/json)", do: "see /api/v1/openapi.yaml"}
}

func faultWhole(name, text string) *fault {
	return &fault{status: http.StatusBadRequest, code: codeEntry,
		says: fmt.Sprintf("%s: %q is no whole number", name, text), do: "write one in figures, such as 2"}
}

func faultQuery(name string) *fault {
	return &fault{status: http.StatusBadRequest, code: codeEntry,
		says: fmt.Sprintf("%s is missing, or is not what is wanted", name), do: "see /api/v1/openapi.yaml"}
}

func faultNoJob() *fault {
	return &fault{status: http.StatusNotFound, code: codeUnknown,
		says: "there is no such recording here any more", do: "send it again; results are kept for an hour"}
}

func faultNotDone(s State, p *fault) *fault {
	if p != nil {
		return p
	}
	return &fault{status: http.StatusConflict, code: codeNotDone, retry: time.Second,
		says: fmt.Sprintf("the recording is not measured yet (%s)", s), do: "wait a moment"}
}

func faultOther() *fault {
	return &fault{status: http.StatusConflict, code: codeOther,
		says: "these recordings were measured as different engines or with different limits", do: "measure them with the same entries and compare again"}
}

func faultOtherMachine() *fault {
	return &fault{status: http.StatusNotFound, code: codeUnknown,
		says: "this machine has no such pass", do: "choose among its passes"}
}

func faultAddress() *fault {
	return &fault{status: http.StatusNotFound, code: codeAddress,
		says: "there is nothing at this address", do: "see /api/v1/openapi.yaml"}
}

func faultMethod(method string) *fault {
	return &fault{status: http.StatusMethodNotAllowed, code: codeMethod,
		says: fmt.Sprintf("%q does not go with this address", method), do: "see /api/v1/openapi.yaml"}
}

func faultOrigin() *fault {
	return &fault{status: http.StatusForbidden, code: codeOrigin,
		says: "this was asked from another page than the server's own", do: "open the server's own page and try there"}
}

func faultHost() *fault {
	return &fault{status: http.StatusMisdirectedRequest, code: codeHost,
		says: "this server is not called by that name", do: "use the address that it printed when it started"}
}

func faultAccess() *fault {
	return &fault{status: http.StatusUnauthorized, code: codeAccess,
		says: "the access code is missing or wrong", do: "use the code that stands on the screen where the server was started"}
}

func faultWait(retry time.Duration) *fault {
	return &fault{status: http.StatusTooManyRequests, code: codeWait, retry: retry,
		says: "too many wrong access codes came from here", do: "wait a minute at most and try again"}
}

func faultGone() *fault {
	return &fault{status: http.StatusServiceUnavailable, code: codeGone,
		says: "the work on this was given up", do: "send it again"}
}

func faultInside(cause error) *fault {
	return &fault{status: http.StatusInternalServerError, code: codeInside, cause: cause,
		says: "the program made a mistake", do: "try again; if it comes back, tell those who keep the program"}
}

func faultFull() *fault {
	return &fault{status: http.StatusServiceUnavailable, code: codeBusy, retry: time.Minute,
		says: "there is no room for one more recording just now", do: "wait some minutes and send it again"}
}

func faultVenturi() *fault {
	return &fault{status: http.StatusBadRequest, code: codeEntry,
		says: "venturi_drop says nothing without a filter", do: "give filter_drop as well"}
}

// jsonDetail says what is wrong with JSON where that can be said in a few words.
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

// enterLabel stands beside the field for the code.
const enterLabel = "Access code, as it stands where the server was started"

// What can stand in the way of a server.

func problemAddress(listen string) *Problem {
	return &Problem{Says: fmt.Sprintf("%q is no address to listen on", listen), Do: "write it as HOST:PORT, such as 127.0.0.1:8637", Usage: true}
}

func problemOpen(listen string) *Problem {
	return &Problem{Says: fmt.Sprintf("on %q others could reach the server without a code", listen),
		Do: "add --lan, or listen on 127.0.0.1", Usage: true}
}

func problemListen(listen string, cause error) *Problem {
	if errors.Is(cause, syscall.EADDRINUSE) {
		return &Problem{Says: fmt.Sprintf("another program listens on %s already", listen),
			Do: "end it, or choose another port with --listen 127.0.0.1:PORT", cause: cause}
	}
	return &Problem{Says: fmt.Sprintf("the system does not let this program listen on %s (%v)", listen, plainCause(cause)),
		Do: "choose another address with --listen HOST:PORT", cause: cause}
}

func problemStore(folder string, cause error) *Problem {
	return &Problem{Says: fmt.Sprintf("recordings cannot be kept in the folder for temporary files, %q (%v)", folder, plainCause(cause)),
		Do: "make room on the disk, or name another folder in TMPDIR", cause: cause}
}

// plainCause gives what the system said, without names around it.
func plainCause(err error) error {
	var number syscall.Errno
	if errors.As(err, &number) {
		return number
	}
	return err
}

// faultNoBook does not say where the book would be: others than its owner may
// read this.
func faultNoBook() *fault {
	return &fault{status: http.StatusNotFound, code: codeNoBook, says: "there is no book yet", do: "begin it by entering a machine"}
}

// faultBookFile says no more, for the same reason; the log has it all.
func faultBookFile(cause error) *fault {
	return &fault{status: http.StatusServiceUnavailable, code: codeBookFile, cause: cause,
		says: "the book cannot be used", do: "see what is said of it where the server was started"}
}

func faultNothingToStore() *fault {
	return &fault{status: http.StatusUnprocessableEntity, code: codeEntry,
		says: "nothing was heard that is worth keeping: neither top speed nor idle", do: "record the pass again"}
}

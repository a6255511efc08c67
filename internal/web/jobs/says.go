package jobs

import (
	"errors"
	"fmt"
	"net/http"
	"syscall"
	"time"

	"topnote/internal/web/fault"
)

// Unnamed is shown for a recording that came without a name.
const Unnamed = "recording"

// remarkBrowser is a remark of a report.
const remarkBrowser = "the browser that sent it decoded it first"

func notForm() *fault.Fault {
	return &fault.Fault{Status: http.StatusUnsupportedMediaType, Code: fault.CodeForm,
		Says: "a recording is sent as a form (multipart/form-data)", Do: "send it in the field clip; /api/v1/openapi.yaml shows how"}
}

func unknownField(name string) *fault.Fault {
	return &fault.Fault{Status: http.StatusBadRequest, Code: fault.CodeForm,
		Says: fmt.Sprintf("the form has a field %q that is not known here, or too much in it", name), Do: "leave it out"}
}

func fieldTwice(name string) *fault.Fault {
	return &fault.Fault{Status: http.StatusBadRequest, Code: fault.CodeForm,
		Says: fmt.Sprintf("the form has the field %q more than once", name), Do: "send one recording at a time"}
}

func noClip() *fault.Fault {
	return &fault.Fault{Status: http.StatusBadRequest, Code: fault.CodeNoClip,
		Says: "the form holds no recording", Do: "choose one, or record one, and send it in the field clip"}
}

func notSHA256() *fault.Fault {
	return fault.Entry("sha256: this is no SHA-256 in hexadecimal", "leave it out, or send 64 small letters and figures")
}

// notDone is for a result that is not there: why the job failed, or that it has
// not ended.
func notDone(j Job) *fault.Fault {
	if j.Problem != nil {
		return j.Problem
	}
	return &fault.Fault{Status: http.StatusConflict, Code: fault.CodeNotDone, Retry: time.Second,
		Says: fmt.Sprintf("the recording is not measured yet (%s)", j.State), Do: "wait a moment"}
}

func otherEntries() *fault.Fault {
	return &fault.Fault{Status: http.StatusConflict, Code: fault.CodeOther,
		Says: "these recordings were measured as different engines or with different limits", Do: "measure them with the same entries and compare again"}
}

func storeFull() *fault.Fault {
	return &fault.Fault{Status: http.StatusServiceUnavailable, Code: fault.CodeBusy, Retry: time.Minute,
		Says: "there is no room for one more recording just now", Do: "wait some minutes and send it again"}
}

// diskFails is for a disk that takes no more bytes, whatever the reason. Its owner
// reads the cause in the log; others may read this.
func diskFails(cause error) *fault.Fault {
	f := &fault.Fault{Status: http.StatusServiceUnavailable, Code: fault.CodeDisk, Retry: time.Minute, Cause: cause,
		Says: "the server cannot write to its disk for recordings", Do: "see what is said of it where the server was started"}
	if errors.Is(cause, syscall.ENOSPC) {
		f.Says, f.Do = "the server's disk for recordings is full", "make room there, then send it again"
	}
	return f
}

func noDate() *fault.Fault {
	return fault.Entry("recorded: that is no day on which a pass can have been recorded", "choose its date and time, or leave the field empty")
}

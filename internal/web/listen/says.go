package listen

import (
	"net/http"

	"topnote/internal/web/fault"
)

// The sentences of a session that cannot go on.

func noHello() *fault.Fault {
	return fault.Entry("this page cannot listen", "open the live page again")
}

func tooMany() *fault.Fault {
	f := fault.Busy(0)
	f.Says, f.Do = "too many pages listen at once", "close one of them, and start again"
	return f
}

func stopping() *fault.Fault {
	return &fault.Fault{Status: http.StatusServiceUnavailable, Code: fault.CodeBusy, Says: "the program is being stopped", Do: "start it again"}
}

func tooMuch() *fault.Fault {
	f := fault.Busy(0)
	f.Says, f.Do = "this computer cannot keep up with the sound", "close other programs, and start again"
	return f
}

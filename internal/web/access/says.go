package access

import (
	"errors"
	"fmt"
	"net/http"
	"syscall"
	"time"

	"topnote/internal/web/fault"
)

// The form for the access code.
const (
	enterTitle  = "Topnote: access code"
	enterLabel  = "Access code, shown where the server was started"
	enterButton = "Sign in"
)

func otherOrigin() *fault.Fault {
	return &fault.Fault{Status: http.StatusForbidden, Code: fault.CodeOrigin,
		Says: "this request came from another page", Do: "open the server's own page and try there"}
}

func otherHost() *fault.Fault {
	return &fault.Fault{Status: http.StatusMisdirectedRequest, Code: fault.CodeHost,
		Says: "this server does not answer to that name", Do: "use the address that it printed when it started"}
}

func noAccess() *fault.Fault {
	return &fault.Fault{Status: http.StatusUnauthorized, Code: fault.CodeAccess,
		Says: "the access code is missing or wrong", Do: "use the code shown where the server was started"}
}

func mustWait(retry time.Duration) *fault.Fault {
	return &fault.Fault{Status: http.StatusTooManyRequests, Code: fault.CodeWait, Retry: retry,
		Says: "too many wrong access codes came from here", Do: "wait a minute at most and try again"}
}

// Problem is why a server cannot be had, in words for people: two halves of one
// sentence, without a full stop.
type Problem struct {
	Says, Do string
	Usage    bool  // the request makes no sense on any machine
	Cause    error // nil: none
}

// Error gives both halves on one line.
func (p *Problem) Error() string { return p.Says + "; " + p.Do }

// Unwrap gives the cause.
func (p *Problem) Unwrap() error { return p.Cause }

func notAddress(listen string) *Problem {
	return &Problem{Says: fmt.Sprintf("%q is no address to listen on", listen), Do: "write it as HOST:PORT, such as 127.0.0.1:8637", Usage: true}
}

func openToOthers(listen string) *Problem {
	return &Problem{Says: fmt.Sprintf("on %q others could reach the server without a code", listen),
		Do: "add --lan, or listen on 127.0.0.1", Usage: true}
}

func cannotListen(listen string, cause error) *Problem {
	if errors.Is(cause, syscall.EADDRINUSE) {
		return &Problem{Says: fmt.Sprintf("another program listens on %s already", listen),
			Do: "end it, or choose another port with --listen 127.0.0.1:PORT", Cause: cause}
	}
	return &Problem{Says: fmt.Sprintf("the system does not let this program listen on %s (%v)", listen, SystemCause(cause)),
		Do: "choose another address with --listen HOST:PORT", Cause: cause}
}

// SystemCause gives what the system said, without names around it.
func SystemCause(err error) error {
	var number syscall.Errno
	if errors.As(err, &number) {
		return number
	}
	return err
}

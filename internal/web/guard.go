package web

import (
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"runtime/debug"
	"slices"
	"strings"
	"time"
)

// policy is the content policy of the page: its own scripts, styles and sounds,
// and nothing from anywhere else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
	"media-src 'self' blob:; connect-src 'self'; font-src 'self'; worker-src 'self'; manifest-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// documentPolicy is that of a document that stands for itself and was made from
// somebody's recording: it may show what is in it, and do nothing.
const documentPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; media-src 'self'; " +
	"base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox"

// guard stands before everything: it looks at what a request calls the server,
// where it comes from and whether it may come in, puts the headers of safety on
// the answer, and writes down what goes wrong inside.
func (s *Server) guard(next http.Handler) http.Handler {
	var changes http.CrossOriginProtection
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer s.endOf(w)
		safeHeaders(w.Header())
		_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(s.o.AnswerTime)) // only a recorder of tests has none
		switch {
		case !s.allowedHost(r.Host):
			s.refuse(w, r, faultHost())
		case changes.Check(r) != nil || !fromHere(r):
			s.refuse(w, r, faultOrigin())
		case s.gate != nil && r.URL.Path == enterPath:
			s.enter(w, r)
		case s.gate != nil && !s.gate.known(r):
			s.challenge(w, r, next)
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// refuse answers with a fault in the form that was asked for: a page for people,
// JSON for programs.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, f *fault) {
	if wantsPage(r) {
		s.refusePage(w, r, f)
	} else {
		refuse(w, f)
	}
}

// wantsPage reports whether a person looks at the answer.
func wantsPage(r *http.Request) bool {
	return strings.Contains(r.Header.Get("Accept"), "text/html") && !strings.HasPrefix(r.URL.Path, "/api/")
}

// endOf ends a request: a client that is still sending has not much longer, and
// a panic, which is a fault of this program, is written down. A panic that means
// to break the connection off goes its way.
func (s *Server) endOf(w http.ResponseWriter) {
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.o.Quiet))
	p := recover()
	switch p {
	case nil:
	case http.ErrAbortHandler:
		panic(p)
	default:
		s.log.Printf("web: panic while answering: %v\n%s", p, debug.Stack())
		refuse(w, faultInside(nil))
	}
}

// safeHeaders puts on an answer what makes a browser keep it to itself. A handler
// may replace the policy by a narrower one.
func safeHeaders(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "microphone=(self), camera=(), geolocation=(), payment=(), usb=()")
	h.Set("Cache-Control", "no-store")
}

// allowedHost reports whether a host is a name of this server. A page from elsewhere
// whose name was made to point here (DNS rebinding) still calls it by that name;
// an address in figures cannot be made to point anywhere.
func (s *Server) allowedHost(host string) bool {
	host = strings.ToLower(hostName(host))
	if host == "localhost" {
		return true
	}
	if a, err := netip.ParseAddr(host); err == nil {
		return s.config.LAN || a.IsLoopback()
	}
	return s.config.LAN && slices.Contains(s.names, host)
}

// hostName takes the port and the brackets of IPv6 off a host; "" for what is
// none.
func hostName(host string) string {
	name, port, err := net.SplitHostPort(host)
	if err != nil {
		name, port = strings.TrimSuffix(strings.TrimPrefix(host, "["), "]"), ""
	}
	if strings.Trim(port, "0123456789") != "" || strings.ContainsAny(name, "[]") {
		return ""
	}
	return name
}

// fromHere reports whether a request comes from the server's own page, from the
// person at the browser, or from a program: other pages may link here and nothing
// else. Browsers say it, W3C Fetch Metadata.
func fromHere(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
		return true
	}
	read := r.Method == http.MethodGet || r.Method == http.MethodHead
	return read && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
}

// clientOf gives what seats are counted by; "" where all share one address.
func (s *Server) clientOf(r *http.Request) string {
	a := addressOf(r)
	if a.IsLoopback() {
		return ""
	}
	return network(a).String()
}

// addressOf gives the address that a request came from; the zero one where it
// came from none.
func addressOf(r *http.Request) netip.Addr {
	at, _ := netip.ParseAddrPort(r.RemoteAddr)
	return at.Addr().Unmap()
}

// enterPath is where a code is given in.
const enterPath = "/enter"

// maxCode is how many bytes of a form with a code are read.
const maxCode = 1000

// enter looks at a code that came with the address, as the QR code has it, or
// with the form, and lets its sender in or shows the form.
func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	var code string
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		code = r.URL.Query().Get("code")
	case http.MethodPost:
		body := s.paceBody(w, r, maxCode)
		defer body.done()
		code = r.PostFormValue("code")
	default:
		refuse(w, faultMethod(r.Method))
		return
	}
	if code == "" {
		askCode(w, nil)
		return
	}
	if err := s.gate.try(addressOf(r), code); err != nil {
		askCode(w, faultOf(err))
		return
	}
	s.gate.let(w)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// challenge is for those without the cookie: a program may send the code with
// each request; a person gets the form; nobody else gets anything.
func (s *Server) challenge(w http.ResponseWriter, r *http.Request, next http.Handler) {
	if code := bearer(r); code != "" {
		err := s.gate.try(addressOf(r), code)
		if err == nil {
			next.ServeHTTP(w, r)
			return
		}
		refuse(w, faultOf(err))
		return
	}
	if wantsPage(r) {
		askCode(w, nil)
		return
	}
	w.Header().Set("WWW-Authenticate", fmt.Sprintf("Bearer realm=%q", "topnote"))
	refuse(w, faultAccess())
}

package access

import (
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"

	"topnote/internal/parallel"
	"topnote/internal/web/fault"
	"topnote/internal/web/pace"
	"topnote/internal/web/policy"
)

// Guard checks every request before the handler gets it.
type Guard struct {
	LAN   bool           // others than this machine may reach the server
	Names []string       // of the server in its network, in lower case
	Auth  *Authenticator // nil: no code is needed
	Pace  pace.Options
	// Page answers with a fault as a page, for people; programs get JSON.
	Page func(http.ResponseWriter, *http.Request, *fault.Fault)
	Log  *log.Logger // for panics of handlers
}

// Handler gives next behind the guard, which also sets the safety headers of every
// answer and logs panics.
func (g *Guard) Handler(next http.Handler) http.Handler {
	var changes http.CrossOriginProtection
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer g.Pace.Finish(w) // a client that is still sending has not much longer
		policy.Set(w.Header(), policy.Nobody)
		g.Pace.Answer(w)
		err := parallel.Try(func() error {
			g.check(w, r, next, &changes)
			return nil
		})
		var p *parallel.Panic
		switch {
		case err == nil:
		case errors.As(err, &p) && p.Value == http.ErrAbortHandler: // means to break the connection off
			panic(p.Value)
		default:
			fault.LogError(g.Log, fmt.Errorf("web: answering: %w", err))
			fault.Inside(nil).Refuse(w)
		}
	})
}

// check passes a request on, or refuses it.
func (g *Guard) check(w http.ResponseWriter, r *http.Request, next http.Handler, changes *http.CrossOriginProtection) {
	switch {
	case !g.allowedHost(r.Host):
		g.refuse(w, r, otherHost())
	case changes.Check(r) != nil || !sameSite(r):
		g.refuse(w, r, otherOrigin())
	case g.Auth != nil && r.URL.Path == enterPath:
		g.enter(w, r)
	case g.Auth != nil && !g.Auth.hasCookie(r):
		g.challenge(w, r, next)
	default:
		next.ServeHTTP(w, r)
	}
}

// refuse answers with a fault: a page for people, JSON for programs.
func (g *Guard) refuse(w http.ResponseWriter, r *http.Request, f *fault.Fault) {
	if wantsPage(r) {
		g.Page(w, r, f)
	} else {
		f.Refuse(w)
	}
}

// wantsPage reports whether a person reads the answer.
func wantsPage(r *http.Request) bool {
	return strings.Contains(r.Header.Get("Accept"), "text/html") && !strings.HasPrefix(r.URL.Path, "/api/")
}

// allowedHost reports whether a host is a name of this server. A page from
// elsewhere whose name was made to point here (DNS rebinding) still calls it by
// that name; an address in figures cannot be made to point anywhere.
func (g *Guard) allowedHost(host string) bool {
	host = strings.ToLower(hostName(host))
	if host == "localhost" {
		return true
	}
	if a, err := netip.ParseAddr(host); err == nil {
		return g.LAN || a.IsLoopback()
	}
	return g.LAN && slices.Contains(g.Names, host)
}

// hostName gives a host without its port and the brackets of IPv6; "" for one that
// is malformed.
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

// sameSite reports whether a request comes from the server's own page, from the
// person at the browser, or from a program: other pages may link here and nothing
// else. Browsers say which it is, W3C Fetch Metadata.
func sameSite(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
		return true
	}
	read := r.Method == http.MethodGet || r.Method == http.MethodHead
	return read && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
}

// Client gives the name that a request's sender is counted under: its address, or
// "" on loopback, where all share one.
func Client(r *http.Request) string {
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

// challenge is for clients without the cookie: a program may send the code with
// each request, a person gets the form, all others are refused.
func (g *Guard) challenge(w http.ResponseWriter, r *http.Request, next http.Handler) {
	if code := bearer(r); code != "" {
		if err := g.Auth.try(addressOf(r), code); err != nil {
			fault.Of(err).Refuse(w)
			return
		}
		next.ServeHTTP(w, r)
		return
	}
	if wantsPage(r) {
		showForm(w, nil)
		return
	}
	w.Header().Set("WWW-Authenticate", fmt.Sprintf("Bearer realm=%q", "topnote"))
	noAccess().Refuse(w)
}

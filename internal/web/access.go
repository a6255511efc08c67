package web

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"
)

// codeLetters are those of an access code: 32, none of which is taken for
// another, so that five bits of chance make a letter.
const codeLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"

// An access code has three groups of four letters: 60 bits. At one try a second,
// which is more than the gate lets through, half of them take ten thousand
// million years.
const (
	codeGroups = 3
	groupLong  = 4
)

// authenticator lets those in who have the access code. The code is asked for once; a
// cookie with another secret stands for it then. Both are made when the server
// starts and die with it.
type authenticator struct {
	o      Options
	clock  func() time.Time
	code   string // as it is compared: no hyphens
	token  string
	secure bool
	cookie string

	mu    sync.Mutex
	wrong map[netip.Addr]*tries
}

// tries are the wrong codes of one client.
type tries struct {
	n     int
	until time.Time // no code is looked at before
}

func newGate(o Options, clock func() time.Time, secure bool) *authenticator {
	letters := make([]byte, codeGroups*groupLong)
	_, _ = rand.Read(letters) // never fails, as its documentation says
	for i, b := range letters {
		letters[i] = codeLetters[int(b)%len(codeLetters)] // 256 is a multiple of 32
	}
	token := make([]byte, 32)
	_, _ = rand.Read(token)
	return &authenticator{
		o: o, clock: clock, code: string(letters), token: base64.RawURLEncoding.EncodeToString(token),
		secure: secure, cookie: "topnote", wrong: map[netip.Addr]*tries{},
	}
}

// setPort gives the cookie a name of its own: cookies do not tell ports apart.
func (g *authenticator) setPort(port uint16) { g.cookie = fmt.Sprintf("topnote-%d", port) }

// shown gives the code as people read and type it: ABCD-EFGH-JKLM.
func (g *authenticator) shown() string {
	var groups []string
	for i := 0; i < len(g.code); i += groupLong {
		groups = append(groups, g.code[i:i+groupLong])
	}
	return strings.Join(groups, "-")
}

// plainCode takes out of a code what people put in between.
func plainCode(text string) string {
	return strings.ToUpper(strings.NewReplacer("-", "", " ", "").Replace(text))
}

// same compares in a time that tells nothing of where two texts differ, nor of
// their lengths.
func same(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}

// known reports whether a request carries the cookie.
func (g *authenticator) known(r *http.Request) bool {
	c, err := r.Cookie(g.cookie)
	return err == nil && same(c.Value, g.token)
}

// try holds a code against the one of the server. It returns a *fault for a wrong
// one, and, without looking, for any from a client that has to wait.
func (g *authenticator) try(client netip.Addr, code string) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	now := g.clock()
	client = network(client)
	t := g.wrong[client]
	if t != nil && now.Before(t.until) {
		return faultWait(t.until.Sub(now))
	}
	if same(plainCode(code), g.code) {
		delete(g.wrong, client)
		return nil
	}
	if t == nil {
		g.forget(now)
		t = &tries{}
		g.wrong[client] = t
	}
	if t.n++; t.n >= g.o.FreeTries {
		t.until = now.Add(min(g.o.MaxWait, time.Second<<min(t.n-g.o.FreeTries, 30)))
	}
	return faultAccess()
}

// maxWrong is how many clients with wrong codes are remembered.
const maxWrong = 4096

// forget makes room for one more client: those that need not wait go, and where
// that is not enough, all.
func (g *authenticator) forget(now time.Time) {
	if len(g.wrong) < maxWrong {
		return
	}
	for a, t := range g.wrong {
		if !now.Before(t.until) {
			delete(g.wrong, a)
		}
	}
	if len(g.wrong) >= maxWrong {
		clear(g.wrong)
	}
}

// network gives what one client can be told from another by: its address, or of
// IPv6 the network, for a machine may have as many addresses there as it likes.
func network(a netip.Addr) netip.Addr {
	const own = 64 // bits; RFC 4291: the rest is the interface
	a = a.Unmap().WithZone("")
	if a.Is6() {
		p, _ := a.Prefix(own) // in range
		return p.Addr()
	}
	return a
}

// bearer gives the code that a program sends with each request, RFC 6750; ""
// where there is none.
func bearer(r *http.Request) string {
	code, _ := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	return code
}

// let sets the cookie.
func (g *authenticator) let(w http.ResponseWriter) {
	http.SetCookie(w, &http.Cookie{
		Name: g.cookie, Value: g.token, Path: "/", HttpOnly: true, Secure: g.secure, SameSite: http.SameSiteLaxMode,
	})
}

package access

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

// codeLetters are those of an access code: 32, none of which is mistaken for
// another, so that a letter has five random bits.
const codeLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"

// An access code has three groups of four letters: 60 bits. At one try a second,
// which is more than the authenticator allows, half of them take ten thousand
// million years.
const (
	codeGroups = 3
	groupLong  = 4
)

// Authenticator lets clients in that have the access code. A client sends it once
// and then has a cookie with another secret. Both are made when the server starts
// and die with it.
type Authenticator struct {
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
	until time.Time // before it no code is compared
}

// NewAuthenticator makes a new code. secure says that the server speaks TLS, so
// that the cookie is never sent without.
func NewAuthenticator(o Options, secure bool) *Authenticator {
	return newAuthenticator(o, secure, time.Now)
}

func newAuthenticator(o Options, secure bool, clock func() time.Time) *Authenticator {
	letters := make([]byte, codeGroups*groupLong)
	_, _ = rand.Read(letters) // never fails, as its documentation says
	for i, b := range letters {
		letters[i] = codeLetters[int(b)%len(codeLetters)] // 256 is a multiple of 32
	}
	token := make([]byte, 32)
	_, _ = rand.Read(token)
	return &Authenticator{
		o: o, clock: clock, code: string(letters), token: base64.RawURLEncoding.EncodeToString(token),
		secure: secure, cookie: "topnote", wrong: map[netip.Addr]*tries{},
	}
}

// setPort gives the cookie a name of its own: cookies do not tell ports apart.
func (a *Authenticator) setPort(port uint16) { a.cookie = fmt.Sprintf("topnote-%d", port) }

// Code gives the code as people read and type it: ABCD-EFGH-JKLM.
func (a *Authenticator) Code() string {
	var groups []string
	for i := 0; i < len(a.code); i += groupLong {
		groups = append(groups, a.code[i:i+groupLong])
	}
	return strings.Join(groups, "-")
}

// plainCode removes from a code what people put in between.
func plainCode(text string) string {
	return strings.ToUpper(strings.NewReplacer("-", "", " ", "").Replace(text))
}

// equal compares in a time that does not depend on where two texts differ, nor on
// their lengths.
func equal(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}

// hasCookie reports whether a request carries the cookie.
func (a *Authenticator) hasCookie(r *http.Request) bool {
	c, err := r.Cookie(a.cookie)
	return err == nil && equal(c.Value, a.token)
}

// setCookie sets it.
func (a *Authenticator) setCookie(w http.ResponseWriter) {
	http.SetCookie(w, &http.Cookie{
		Name: a.cookie, Value: a.token, Path: "/", HttpOnly: true, Secure: a.secure, SameSite: http.SameSiteLaxMode,
	})
}

// try compares a code. It returns a *fault.Fault for a wrong one and, without
// comparing, for any from a client that has to wait.
func (a *Authenticator) try(client netip.Addr, code string) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	now := a.clock()
	client = network(client)
	t := a.wrong[client]
	if t != nil && now.Before(t.until) {
		return mustWait(t.until.Sub(now))
	}
	if equal(plainCode(code), a.code) {
		delete(a.wrong, client)
		return nil
	}
	if t == nil {
		a.forget(now)
		t = &tries{}
		a.wrong[client] = t
	}
	if t.n++; t.n >= a.o.FreeTries {
		t.until = now.Add(min(a.o.MaxWait, time.Second<<min(t.n-a.o.FreeTries, 30)))
	}
	return noAccess()
}

// maxWrong is how many clients with wrong codes are remembered.
const maxWrong = 4096

// forget makes room for one more client: those that need not wait go, and where
// that is not enough, all. It needs mu.
func (a *Authenticator) forget(now time.Time) {
	if len(a.wrong) < maxWrong {
		return
	}
	for client, t := range a.wrong {
		if !now.Before(t.until) {
			delete(a.wrong, client)
		}
	}
	if len(a.wrong) >= maxWrong {
		clear(a.wrong)
	}
}

// network gives the part of an address that identifies a client: all of IPv4, and
// of IPv6 the network, since a machine may have as many addresses there as it likes.
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

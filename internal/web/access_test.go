package web

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"
)

// serveLAN runs a server that asks for its code, on loopback still.
func serveLAN(t *testing.T, change func(*Config)) *serving {
	t.Helper()
	return serve(t, func(c *Config) {
		c.LAN = true
		if change != nil {
			change(c)
		}
	})
}

// everyAddress gives a request for each route of the API, and for pages.
func everyAddress(s *Server) [][2]string {
	all := [][2]string{
		{"GET", "/"}, {"POST", "/"}, {"GET", "/static/"}, {"GET", "/static/style.css"}, {"GET", "/book"}, {"POST", "/book"}, {"GET", "/air"},
		{"GET", "/compare"}, {"POST", "/clips"}, {"GET", "/clips/x"}, {"GET", "/nothing"}, {"OPTIONS", "/"}, {"HEAD", "/"}, {"GET", "/favicon.ico"},
		{"GET", "/enter/"}, {"GET", "/Enter"}, {"GET", "//enter"}, {"GET", "/x/../enter"}, {"TRACE", "/"},
	}
	for _, r := range s.routes() {
		all = append(all, [2]string{r.method, apiRoot + strings.NewReplacer("{", "", "}", "").Replace(r.path)})
	}
	return all
}

// TestNothingWithoutTheCode asks for everything without a code, with a wrong one
// and with a wrong cookie: nothing is served, and nothing tells what is there.
func TestNothingWithoutTheCode(t *testing.T) {
	x := serveLAN(t, func(c *Config) { c.Options.FreeTries = 1000000 })
	var first string
	for _, a := range everyAddress(x.Server) {
		for _, with := range []func(*http.Request){
			func(*http.Request) {},
			func(r *http.Request) { r.Header.Set("Authorization", "Bearer AAAA-AAAA-AAAA") },
			func(r *http.Request) { r.Header.Set("Authorization", "Basic "+x.Code) },
			func(r *http.Request) { r.Header.Set("Cookie", x.gate.cookie+"=") },
			func(r *http.Request) { r.Header.Set("Cookie", x.gate.cookie+"="+x.Code) },
			func(r *http.Request) { r.Header.Set("Cookie", "topnote="+x.gate.token) },
			func(r *http.Request) { r.URL.RawQuery = "code=" + x.Code },
		} {
			r := httptest.NewRequest(a[0], "http://localhost"+strings.Replace(a[1], "//", "/", 1), nil)
			r.URL.Path = a[1]
			with(r)
			w := httptest.NewRecorder()
			x.Handler().ServeHTTP(w, r)
			if w.Code != http.StatusUnauthorized {
				t.Errorf("%s %s without the code: %d %.200s", a[0], a[1], w.Code, w.Body)
			}
			if first == "" {
				first = w.Body.String()
			}
			if w.Body.String() != first {
				t.Errorf("%s %s tells more than others: %.200s", a[0], a[1], w.Body)
			}
		}
	}
	r := x.request("GET", "/clips/x", nil)
	r.Header.Set("Accept", "text/html,*/*")
	if a := x.do(r).want(t, 401); !strings.Contains(string(a.body), `action="/enter"`) || strings.Contains(string(a.body), "/static") {
		t.Errorf("a person gets %s", a.body)
	}
}

// TestEnter goes in as people do: by the QR code, by typing, and wrongly.
func TestEnter(t *testing.T) {
	x := serveLAN(t, nil)
	if !regexp.MustCompile(`^[A-HJ-NP-Z2-9]{4}(-[A-HJ-NP-Z2-9]{4}){2}$`).MatchString(x.Code) {
		t.Errorf("the code is %q", x.Code)
	}
	enter, err := url.Parse(x.Enter)
	if err != nil || x.url+enter.RequestURI() != x.Enter {
		t.Fatalf("the address for the QR code is %q (%v)", x.Enter, err)
	}
	a := x.get(enter.RequestURI()).want(t, http.StatusSeeOther)
	c := a.Cookies()
	if len(c) != 1 || !c[0].HttpOnly || c[0].SameSite != http.SameSiteLaxMode || c[0].Path != "/" || c[0].Secure || a.Header.Get("Location") != "/" {
		t.Fatalf("it leads to %q with %v", a.Header.Get("Location"), c)
	}
	if strings.Contains(c[0].Value, x.Code) || len(c[0].Value) < 43 {
		t.Errorf("the cookie is %q", c[0].Value)
	}
	r := x.request("GET", "/api/v1/version", nil)
	r.AddCookie(c[0])
	x.do(r).want(t, http.StatusOK)

	typed := strings.ToLower(strings.ReplaceAll(x.Code, "-", " "))
	for code, status := range map[string]int{typed: 303, "": 401, "AAAA-AAAA-AAAA": 401, x.Code + "A": 401, x.Code[:13]: 401} {
		r := x.request("POST", "/enter", strings.NewReader(url.Values{"code": {code}}.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if a := x.do(r).want(t, status); status == 303 != (len(a.Cookies()) == 1) {
			t.Errorf("%q gets the cookies %v", code, a.Cookies())
		}
	}
	r = x.request("GET", "/api/v1/version", nil)
	r.Header.Set("Authorization", "Bearer "+x.Code)
	x.do(r).want(t, http.StatusOK)
	x.do(x.request("DELETE", "/enter", nil)).want(t, http.StatusMethodNotAllowed)
}

// TestEachStartAnotherCode wants no two servers with the same secrets.
func TestEachStartAnotherCode(t *testing.T) {
	seen := map[string]bool{}
	for range 200 {
		g := newGate(Default(), time.Now, false)
		if seen[g.code] || seen[g.token] {
			t.Fatal("a secret came twice")
		}
		seen[g.code], seen[g.token] = true, true
	}
}

// TestWrongCodesSlowDown turns the clock on while wrong codes come: each costs
// more time, the right one included, and others are not held up.
func TestWrongCodesSlowDown(t *testing.T) {
	now := time.Date(2026, 5, 31, 12, 0, 0, 0, time.UTC)
	o := Default()
	g := newGate(o, func() time.Time { return now }, false)
	wrongdoer, neighbour := netip.MustParseAddr("192.0.2.7"), netip.MustParseAddr("192.0.2.8")
	code := func(err error) string { return faultOf(err).code }
	for i := range o.FreeTries {
		if err := g.try(wrongdoer, "AAAA-AAAA-AAAA"); code(err) != codeAccess {
			t.Fatalf("wrong code %d: %v", i+1, err)
		}
	}
	var waited time.Duration
	for _, want := range []time.Duration{1, 2, 4, 8, 16, 32, 60, 60, 60} {
		err := g.try(wrongdoer, g.shown()) // the right one: not even looked at
		if err == nil || faultOf(err).retry != want*time.Second {
			t.Fatalf("after %v: %v, to wait %v, want %d s", waited, err, faultOf(err).retry, want)
		}
		if err := g.try(neighbour, g.shown()); err != nil {
			t.Errorf("the neighbour: %v", err)
		}
		now = now.Add(want * time.Second)
		waited += want * time.Second
		if err := g.try(wrongdoer, "AAAA-AAAA-AAAA"); code(err) != codeAccess {
			t.Fatalf("after %v: %v", waited, err)
		}
	}
	now = now.Add(o.MaxWait)
	if err := g.try(wrongdoer, g.shown()); err != nil {
		t.Errorf("the right code in the end: %v", err)
	}
	if len(g.wrong) != 0 {
		t.Errorf("%d are remembered after the right code", len(g.wrong))
	}
}

// TestManyWrongdoers comes from more addresses than are remembered, and from the
// many of one IPv6 network, which count as one.
func TestManyWrongdoers(t *testing.T) {
	g := newGate(Default(), time.Now, false)
	for i := range 2 * maxWrong {
		_ = g.try(netip.AddrFrom4([4]byte{10, byte(i >> 16), byte(i >> 8), byte(i)}), "wrong")
	}
	if len(g.wrong) > maxWrong {
		t.Errorf("%d are remembered, %d at most", len(g.wrong), maxWrong)
	}
	clear(g.wrong)
	var last error
	for i := range 2 * g.o.FreeTries {
		last = g.try(netip.MustParseAddr(fmt.Sprintf("2001:db8::%x", i+1)), "wrong")
	}
	if faultOf(last).code != codeWait || len(g.wrong) != 1 {
		t.Errorf("one network counts as %d: %v", len(g.wrong), last)
	}
}

// TestWrongCodesOverHTTP wants the slowing down to be seen from outside, with the
// seconds to wait.
func TestWrongCodesOverHTTP(t *testing.T) {
	x := serveLAN(t, nil)
	for range x.o.FreeTries {
		x.get("/enter?code=AAAA").want(t, http.StatusUnauthorized)
	}
	a := x.get("/enter?code="+x.Code).want(t, http.StatusTooManyRequests)
	if a.Header.Get("Retry-After") != "1" || len(a.Cookies()) != 0 {
		t.Errorf("to wait %q s, with %v", a.Header.Get("Retry-After"), a.Cookies())
	}
	r := x.request("GET", "/api/v1/version", nil)
	r.Header.Set("Authorization", "Bearer "+x.Code)
	if code := x.do(r).want(t, http.StatusTooManyRequests).fault(t); code != codeWait {
		t.Errorf("a program with the right code: %q", code)
	}
}

// TestSame compares texts of all kinds.
func TestSame(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{{"", "", true}, {"a", "a", true}, {"a", "b", false}, {"a", "", false}, {"ab", "a", false}, {"a\x00", "a", false}} {
		if got := same(c.a, c.b); got != c.want {
			t.Errorf("same(%q, %q) = %v", c.a, c.b, got)
		}
	}
}

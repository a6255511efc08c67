package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
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

// signIn gives the cookie that the code is exchanged for.
func (x *serving) signIn() *http.Cookie {
	x.t.Helper()
	c := x.get("/enter?code="+x.Code).want(x.t, http.StatusSeeOther).Cookies()
	if len(c) != 1 {
		x.t.Fatalf("the right code gets the cookies %v", c)
	}
	return c[0]
}

// everyAddress gives a request for each route of the API, and for pages.
func everyAddress(s *Server) [][2]string {
	all := [][2]string{
		{"GET", "/"}, {"POST", "/"}, {"GET", "/static/"}, {"GET", "/static/style.css"}, {"GET", "/book"}, {"POST", "/book"}, {"GET", "/air"},
		{"GET", "/live"}, {"GET", "/live/sound"}, {"GET", "/compare"}, {"POST", "/clips"}, {"GET", "/clips/x"}, {"GET", "/nothing"}, {"OPTIONS", "/"}, {"HEAD", "/"}, {"GET", "/favicon.ico"},
		{"GET", "/enter/"}, {"GET", "/Enter"}, {"GET", "//enter"}, {"GET", "/x/../enter"}, {"TRACE", "/"},
	}
	for _, r := range s.api.Routes() {
		all = append(all, [2]string{r.Method, jobs.Root + strings.NewReplacer("{", "", "}", "").Replace(r.Path)})
	}
	return all
}

// TestNothingWithoutTheCode asks for everything without a code, with a wrong one
// and with a wrong cookie: nothing is served, and nothing tells what is there.
func TestNothingWithoutTheCode(t *testing.T) {
	x := serveLAN(t, func(c *Config) { c.Options.Access.FreeTries = 1000000 })
	cookie := x.signIn()
	var first string
	for _, a := range everyAddress(x.Server) {
		for _, with := range []func(*http.Request){
			func(*http.Request) {},
			func(r *http.Request) { r.Header.Set("Authorization", "Bearer AAAA-AAAA-AAAA") },
			func(r *http.Request) { r.Header.Set("Authorization", "Basic "+x.Code) },
			func(r *http.Request) { r.Header.Set("Cookie", cookie.Name+"=") },
			func(r *http.Request) { r.Header.Set("Cookie", cookie.Name+"="+x.Code) },
			func(r *http.Request) { r.Header.Set("Cookie", "topnote="+cookie.Value) },
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

// TestWrongCodesOverHTTP wants the slowing down to be seen from outside, with the
// seconds to wait.
func TestWrongCodesOverHTTP(t *testing.T) {
	x := serveLAN(t, nil)
	for range x.config.Options.Access.FreeTries {
		x.get("/enter?code=AAAA").want(t, http.StatusUnauthorized)
	}
	a := x.get("/enter?code="+x.Code).want(t, http.StatusTooManyRequests)
	if a.Header.Get("Retry-After") != "1" || len(a.Cookies()) != 0 {
		t.Errorf("to wait %q s, with %v", a.Header.Get("Retry-After"), a.Cookies())
	}
	r := x.request("GET", "/api/v1/version", nil)
	r.Header.Set("Authorization", "Bearer "+x.Code)
	if code := x.do(r).want(t, http.StatusTooManyRequests).fault(t); code != fault.CodeWait {
		t.Errorf("a program with the right code: %q", code)
	}
}

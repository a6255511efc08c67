package web

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// TestForeignHostsOverHTTP wants other names refused on every address.
func TestForeignHostsOverHTTP(t *testing.T) {
	x := serve(t, nil)
	for _, path := range []string{"/", "/api/v1/version", "/api/v1/machines", "/static/x", "/enter"} {
		r := x.request("GET", path, nil)
		r.Host = "rebound.example:8637"
		if code := x.do(r).want(t, http.StatusMisdirectedRequest).fault(t); code != fault.CodeHost {
			t.Errorf("%s: %q", path, code)
		}
	}
}

// TestOrigins asks for a page, an answer and a change as browsers do it from many
// places. Source: W3C Fetch Metadata Request Headers, and RFC 6454 for Origin.
func TestOrigins(t *testing.T) {
	x := serve(t, nil)
	headers := func(pairs ...string) http.Header {
		h := http.Header{}
		for i := 0; i < len(pairs); i += 2 {
			h.Set(pairs[i], pairs[i+1])
		}
		return h
	}
	const ok, no = true, false
	for _, c := range []struct {
		from               string
		header             http.Header
		page, read, change bool
	}{
		{"a program", headers(), ok, ok, ok},
		{"the address line", headers("Sec-Fetch-Site", "none", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"), ok, ok, ok},
		{"the own page", headers("Sec-Fetch-Site", "same-origin", "Sec-Fetch-Mode", "cors", "Origin", x.url), ok, ok, ok},
		{"the own page, an old browser", headers("Origin", x.url), ok, ok, ok},
		{"a link elsewhere", headers("Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"), ok, ok, no},
		{"a form elsewhere", headers("Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document", "Origin", "https://evil.example"), ok, ok, no},
		{"a script elsewhere", headers("Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "cors", "Origin", "https://evil.example"), no, no, no},
		{"a script elsewhere, not asking", headers("Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors"), no, no, no},
		{"a frame elsewhere", headers("Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "iframe"), no, no, no},
		{"a picture elsewhere", headers("Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors", "Sec-Fetch-Dest", "image"), no, no, no},
		{"another port of this machine", headers("Sec-Fetch-Site", "same-site", "Sec-Fetch-Mode", "cors", "Origin", "http://127.0.0.1:1"), no, no, no},
		{"an old browser elsewhere", headers("Origin", "https://evil.example"), ok, ok, no},
		{"a file or a sandbox", headers("Origin", "null"), ok, ok, no},
		{"something new", headers("Sec-Fetch-Site", "next-door"), no, no, no},
	} {
		x.wantFrom(c.from, c.header, c.read, c.change)
		r := x.request("GET", "/", nil)
		r.Header = c.header.Clone()
		if a := x.do(r); (a.StatusCode == http.StatusForbidden) == c.page {
			t.Errorf("%s: the page answers %s", c.from, a.Status)
		}
	}
}

// wantFrom sends requests with the headers of a place, and wants those that read and
// those that change something to be answered or refused.
func (x *serving) wantFrom(place string, header http.Header, read, change bool) {
	x.t.Helper()
	for _, one := range []struct {
		method, path, body string
		allowed            bool
		status             int
	}{
		{"GET", "/api/v1/version", "", read, 200},
		{"POST", "/api/v1/air", `{"temp":20,"altitude":0}`, change, 200},
		{"DELETE", "/api/v1/clips/none", "", change, 404},
		{"PUT", "/api/v1/machines/none", `{"name":"none"}`, change, 404},
	} {
		r := x.request(one.method, one.path, strings.NewReader(one.body))
		r.Header = header.Clone()
		r.Header.Set("Content-Type", "application/json")
		want := one.status
		if !one.allowed {
			want = http.StatusForbidden
		}
		if a := x.do(r); a.StatusCode != want {
			x.t.Errorf("%s: %s %s: %s, want %d", place, one.method, one.path, a.Status, want)
		}
	}
}

// TestFormsCannotSendJSON sends what a form of another page could send without
// asking: kinds that need no leave.
func TestFormsCannotSendJSON(t *testing.T) {
	x := serve(t, nil)
	for _, kind := range []string{"text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", ""} {
		r := x.request("POST", "/api/v1/machines", strings.NewReader(`{"name":"saw"}`))
		r.Header.Set("Content-Type", kind)
		x.do(r).want(t, http.StatusUnsupportedMediaType).fault(t)
	}
}

// TestHeadersOfSafety wants them on every answer, whatever it is, and a policy
// that lets nothing in from elsewhere and no script stand in a page.
func TestHeadersOfSafety(t *testing.T) {
	for _, lan := range []bool{false, true} {
		x := serve(t, func(c *Config) { c.LAN = lan })
		for _, a := range append(everyAddress(x.Server), [2]string{"GET", "/enter"}) {
			r := httptest.NewRequest(a[0], "http://localhost/", strings.NewReader("{}"))
			r.URL.Path = a[1]
			w := httptest.NewRecorder()
			x.Handler().ServeHTTP(w, r)
			h := w.Header()
			for name, want := range map[string]string{
				"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer",
				"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin",
			} {
				if h.Get(name) != want {
					t.Errorf("%s %s: %s is %q", a[0], a[1], name, h.Get(name))
				}
			}
			if h.Get("Access-Control-Allow-Origin") != "" || !strings.HasPrefix(h.Get("Cache-Control"), "no-") {
				t.Errorf("%s %s: %v", a[0], a[1], h)
			}
			wantPolicy(t, a[0]+" "+a[1], h.Get("Content-Security-Policy"))
		}
	}
}

// wantPolicy takes a content policy apart. Source: W3C Content Security Policy 3.
func wantPolicy(t *testing.T, where, policy string) {
	t.Helper()
	parts := map[string]string{}
	for part := range strings.SplitSeq(policy, ";") {
		name, sources, _ := strings.Cut(strings.TrimSpace(part), " ")
		parts[name] = sources
	}
	for name, want := range map[string]string{"default-src": "'none'", "base-uri": "'none'", "frame-ancestors": "'none'"} {
		if parts[name] != want {
			t.Errorf("%s: %s is %q", where, name, parts[name])
		}
	}
	for name, sources := range parts {
		for source := range strings.FieldsSeq(sources) {
			known := source == "'none'" || source == "'self'" || source == "data:" || source == "blob:" || strings.HasPrefix(source, "'sha256-")
			_, sandboxed := parts["sandbox"]
			if !known && (source != "'unsafe-inline'" || name != "style-src" || !sandboxed) {
				t.Errorf("%s: %s lets in %q", where, name, source)
			}
		}
	}
	if form, ok := parts["form-action"]; !ok || form == "" {
		t.Errorf("%s: forms may be sent anywhere", where)
	}
}

// TestDocumentsDoNothing wants what was made from a recording, and the recording
// itself, in a sandbox without scripts.
func TestDocumentsDoNothing(t *testing.T) {
	x := serve(t, nil)
	var j jobBody
	x.post("/api/v1/clips", excerpt(t, "rich"), "name", `<script>alert(1)</script>"><img src=x onerror=alert(1)>`).want(t, http.StatusAccepted).into(t, &j)
	x.waitFor(j.ID, jobs.Done)
	for _, path := range []string{"/report.html", "/report.svg", "/audio", "/audio?form=wav"} {
		a := x.get(j.Links.Self+path).want(t, http.StatusOK)
		policy := a.Header.Get("Content-Security-Policy")
		if !strings.HasSuffix(policy, "sandbox") || strings.Contains(policy, "script-src") {
			t.Errorf("%s may do what %q says", path, policy)
		}
		if path[1] == 'r' && strings.Contains(string(a.body), "<script") || strings.Contains(string(a.body), "<img src=x") {
			t.Errorf("%s has the name of the recording in it as it came", path)
		}
	}
}

// TestMethods asks for what is there with what does not go with it.
func TestMethods(t *testing.T) {
	x := serve(t, nil)
	for _, c := range []struct{ method, path, allow string }{
		{"PUT", "/clips", "POST"}, {"POST", "/clips/x", "GET, DELETE"}, {"PATCH", "/machines/x", "GET, PUT"}, {"DELETE", "/version", "GET"},
		{"POST", "/clips/x/report.html", "GET"}, {"GET", "/air", "POST"},
	} {
		a := x.do(x.request(c.method, jobs.Root+c.path, nil)).want(t, http.StatusMethodNotAllowed)
		if a.Header.Get("Allow") != c.allow || a.fault(t) != fault.CodeMethod {
			t.Errorf("%s %s: allowed is %q", c.method, c.path, a.Header.Get("Allow"))
		}
	}
	for _, path := range []string{"/api/", "/api/v2/version", "/api/v1/", "/api/v1/clip", "/api/v1/clips/x/report.exe"} {
		if code := x.get(path).want(t, http.StatusNotFound).fault(t); code != fault.CodeAddress {
			t.Errorf("%s: %q", path, code)
		}
	}
	if a := x.do(x.request("HEAD", "/api/v1/version", nil)).want(t, http.StatusOK); len(a.body) != 0 {
		t.Errorf("HEAD has a body: %q", a.body)
	}
}

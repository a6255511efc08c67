package phone

import (
	"bytes"
	"net/http"
	"regexp"
	"strings"
)

// below makes the pages of next fit below a path: their addresses begin at the root,
// where another page may live. Requests come without the path.
func below(base string, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		moved := &moving{ResponseWriter: w, base: base}
		next.ServeHTTP(moved, r)
		moved.end()
	})
}

// rooted matches an address from the root in a tag. Text cannot be taken for one:
// html/template escapes the quotation mark in it.
var rooted = regexp.MustCompile(`(\s(?:href|src|action|formaction|data-plain)=")/`)

// moving is an answer whose addresses are moved below base.
type moving struct {
	http.ResponseWriter
	base string
	html *bytes.Buffer // of a page, which is moved when it is whole; nil: something else
	sent bool          // the header
	code int
}

// WriteHeader implements http.ResponseWriter.
func (m *moving) WriteHeader(code int) {
	if m.sent {
		return
	}
	m.sent, m.code = true, code
	h := m.Header()
	if to := h.Get("Location"); strings.HasPrefix(to, "/") {
		h.Set("Location", m.base+to)
	}
	if strings.HasPrefix(h.Get("Content-Type"), "text/html") && h.Get("Content-Disposition") == "" {
		m.html = &bytes.Buffer{}
		h.Del("Content-Length")
		return
	}
	m.ResponseWriter.WriteHeader(code)
}

// Write implements http.ResponseWriter.
func (m *moving) Write(p []byte) (int, error) {
	m.WriteHeader(http.StatusOK)
	if m.html != nil {
		return m.html.Write(p)
	}
	return m.ResponseWriter.Write(p)
}

// end sends a page that is whole now.
func (m *moving) end() {
	m.WriteHeader(http.StatusOK)
	if m.html == nil {
		return
	}
	m.ResponseWriter.WriteHeader(m.code)
	_, _ = m.ResponseWriter.Write(rooted.ReplaceAll(m.html.Bytes(), []byte("${1}"+m.base+"/"))) // the page has gone
}

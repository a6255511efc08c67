package phone

import (
	"bytes"
	"fmt"
	"io"
	"log"
	"maps"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"

	"topnote/internal/web/books"
	"topnote/internal/web/pace"
	"topnote/internal/web/page"
)

// FirstPage is a page as it is where there is no book yet.
type FirstPage struct {
	Headers [][2]string `json:"headers"`
	Body    string      `json:"body"` // its addresses are below BaseMark
}

// BaseMark stands for Config.Base in a FirstPage.
const BaseMark = "{{BASE}}"

// FirstPages gives the pages from which a pass is recorded and the engine followed, by
// their paths, as New answers them before there is a book: they are shown the first time
// while the program itself still comes.
func FirstPages() (map[string]FirstPage, error) {
	none := filepath.Join(os.TempDir(), "topnote-no-book", "book.sqlite") // only looked for
	mux, l := http.NewServeMux(), log.New(io.Discard, "", 0)
	(&page.Pages{Books: books.New(none), Pace: pace.Default(), Log: l}).Register(mux) // these pages ask for no measurement
	h := below(BaseMark, safely(mux, l))
	pages := map[string]FirstPage{}
	for _, path := range []string{"/", "/live"} {
		w := &recorded{header: http.Header{}, status: http.StatusOK}
		h.ServeHTTP(w, &http.Request{Method: http.MethodGet, URL: &url.URL{Path: path}, RequestURI: path, Host: "localhost", RemoteAddr: local, Header: http.Header{}, Body: http.NoBody})
		if w.status != http.StatusOK {
			return nil, fmt.Errorf("phone: the page %s answers %d", path, w.status)
		}
		p := FirstPage{Body: w.body.String()}
		for _, name := range slices.Sorted(maps.Keys(w.header)) { // the same bytes each time
			p.Headers = append(p.Headers, [2]string{name, w.header.Get(name)})
		}
		pages[path] = p
	}
	return pages, nil
}

// recorded is an answer that is kept.
type recorded struct {
	header http.Header
	status int
	body   bytes.Buffer
}

// Header implements http.ResponseWriter.
func (r *recorded) Header() http.Header { return r.header }

// WriteHeader implements http.ResponseWriter.
func (r *recorded) WriteHeader(status int) { r.status = status }

// Write implements http.ResponseWriter.
func (r *recorded) Write(p []byte) (int, error) { return r.body.Write(p) }

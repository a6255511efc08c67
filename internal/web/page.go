package web

import (
	"bytes"
	"embed"
	"html/template"
	"io"
	"io/fs"
	"net/http"
	"regexp"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"topnote/internal/air"
)

//go:embed page
var pageFiles embed.FS

// pageTemplates gives the pages, each named as its file. They carry no script and
// no style of their own, so that the policy can forbid both. They are read when
// there is a server: most commands of the program have none.
var pageTemplates = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").ParseFS(pageFiles, "page/templates/*.html"))
})

// routePages adds the pages and what they are made of. All of them work without
// scripts, but for recording, decoding in the browser and the moving trace.
func (s *Server) routePages(mux *http.ServeMux) {
	pageTemplates() // a fault in them shows before anything is served
	static, err := fs.Sub(pageFiles, "page/static")
	if err != nil {
		panic(err) // it is part of the program
	}
	mux.Handle("GET /static/", http.StripPrefix("/static/", asked(http.FileServerFS(static))))
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { s.refusePage(w, r, faultNoPage()) })
	for pattern, page := range map[string]func(http.ResponseWriter, *http.Request) error{
		"GET /{$}":                     s.showNew,
		"POST /clips":                  s.sendClip,
		"GET /clips/{id}":              s.showClip,
		"POST /clips/{id}/book":        s.storeClip,
		"POST /clips/{id}/again":       s.againClip,
		"GET /compare":                 s.showCompare,
		"GET /book":                    s.showBook,
		"POST /book":                   s.sendMachine,
		"GET /book/{machine}":          s.showMachine,
		"POST /book/{machine}":         s.changeMachine,
		"GET /book/{machine}/why":      s.showWhy,
		"GET /book/{machine}/p/{pass}": s.showPass,
		"GET /air":                     s.showAir,
	} {
		mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			if err := page(w, r); err != nil {
				s.refusePage(w, r, s.noted(err))
			}
		})
	}
}

// asked has browsers ask each time whether a file is still the same: the next
// version of the program may stand at the same address. Folders are not listed.
func asked(files http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "" || strings.HasSuffix(r.URL.Path, "/") {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Cache-Control", "no-cache")
		files.ServeHTTP(w, r)
	})
}

// place is one of the places that every page leads to.
type place struct {
	Path, Name string
	Here       bool
}

// pageFrame is what every page has.
type pageFrame struct {
	Title   string
	Script  string // its module, "" for none
	Refresh bool   // without scripts it is loaded again and again
	Places  []place
	Problem string // what is wrong with what was entered, "" for nothing
	Said    string // what was done, "" for nothing
}

// newPageFrame makes the frame of a page under one of the places.
func newPageFrame(under, title, script string) pageFrame {
	f := pageFrame{Title: title, Script: script, Places: []place{
		{"/", placeNew, false}, {"/compare", placeCompare, false}, {"/book", placeBook, false}, {"/air", placeAir, false},
	}}
	for i := range f.Places {
		f.Places[i].Here = f.Places[i].Path == under
	}
	return f
}

// refused puts what was wrong with what was entered onto a page that is shown
// again, and gives the status of the answer; nil is nothing wrong.
func (s *Server) refused(p *pageFrame, err error) (status int) {
	if err == nil {
		return http.StatusOK
	}
	f := s.noted(err)
	p.Problem = f.sentence()
	return f.status
}

// render writes a page whole or not at all.
func render(w http.ResponseWriter, status int, name string, data any) error {
	var b bytes.Buffer
	if err := pageTemplates().ExecuteTemplate(&b, name, data); err != nil {
		return err
	}
	w.Header().Set("Content-Type", typeHTML)
	w.WriteHeader(status)
	_, _ = b.WriteTo(w) // who has gone needs no answer
	return nil
}

// failedPage says what is wrong and what to do.
type failedPage struct {
	pageFrame
	Headline, Says string
	Back, BackSays string
}

// refusePage answers with a fault as a page.
func (s *Server) refusePage(w http.ResponseWriter, _ *http.Request, f *fault) {
	f.head(w.Header())
	p := failedPage{newPageFrame("", headFailed, ""), headFailed, f.sentence(), "/", goNew}
	if err := render(w, f.status, "failed.html", p); err != nil {
		s.log.Printf("%v", err)
	}
}

// sentence gives both halves as one sentence.
func (f *fault) sentence() string {
	says := f.says
	if f.do != "" {
		says += "; " + f.do
	}
	first, size := utf8.DecodeRuneInString(says)
	return strings.TrimSuffix(string(unicode.ToUpper(first))+says[size:], ".") + "."
}

// unitsCookie remembers in which units somebody reads and enters the air.
const unitsCookie = "units"

// unitsOf gives the units that a request asks for or, without, those of last time.
func unitsOf(r *http.Request) air.Units {
	text := r.FormValue("units")
	if c, err := r.Cookie(unitsCookie); err == nil && text == "" {
		text = c.Value
	}
	u, err := air.ParseUnits(text)
	if err != nil {
		return air.Metric
	}
	return u
}

// keepUnits remembers the units for the next time; the page's scripts do the
// same, so it is no secret to them.
func keepUnits(w http.ResponseWriter, u air.Units) {
	name := "metric"
	if u == air.US {
		name = "us"
	}
	const year = 365 * 24 * 60 * 60 // s
	http.SetCookie(w, &http.Cookie{Name: unitsCookie, Value: name, Path: "/", MaxAge: year, SameSite: http.SameSiteStrictMode})
}

// maxEntries is how much may be entered on a page, bytes.
const maxEntries = 64 << 10

// readEntries reads the fields of a form without a recording.
func (s *Server) readEntries(w http.ResponseWriter, r *http.Request) error {
	body := s.paceBody(w, r, maxEntries)
	defer body.done()
	if err := r.ParseForm(); err != nil {
		return bodyFault(err)
	}
	return nil
}

var styles = regexp.MustCompile(`\s+style="([^"]*)"`)

// inline gives a picture that stands in a page.
func (s *Server) inline(r *http.Request, draw func(io.Writer) error) (template.HTML, error) {
	picture, err := s.drawn(r, draw)
	if err != nil {
		return "", err
	}
	return withoutStyles(picture), nil
}

// withoutStyles gives a picture of package picture with its styles as plain
// attributes of SVG: a policy that lets no style stand in a page would take the
// styles away. The custom properties in them keep their meaning.
func withoutStyles(svg []byte) template.HTML {
	return template.HTML(styles.ReplaceAllStringFunc(string(svg), func(found string) string {
		var b strings.Builder
		for _, one := range strings.Split(styles.FindStringSubmatch(found)[1], ";") {
			if name, value, ok := strings.Cut(one, ":"); ok {
				b.WriteString(" " + name + `="` + value + `"`)
			}
		}
		return b.String()
	}))
}

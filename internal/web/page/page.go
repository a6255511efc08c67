// Package page is the server's pages for people: templates, scripts and the
// handlers of their forms.
//
// The pages show the same jobs and the same book that the API has. They work
// without scripts, but for recording, decoding in the browser and the moving trace.
// A form that is refused comes back with what was entered and one sentence. Start
// with Pages.Register.
package page

import (
	"bytes"
	"embed"
	"html/template"
	"io"
	"io/fs"
	"log"
	"net/http"
	"regexp"
	"strings"
	"sync"

	"topnote/internal/air"
	"topnote/internal/web/books"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
	"topnote/internal/web/pace"
)

//go:embed static templates
var files embed.FS

// templates gives the pages, each named as its file. They carry no script and no
// style of their own, so that the policy can forbid both. They are parsed when there
// is a server: most commands of the program have none.
var templates = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").Funcs(template.FuncMap{"tight": tight}).ParseFS(files, "templates/*.html"))
})

// Pages answers people.
type Pages struct {
	Intake *jobs.Intake
	Queue  *jobs.Queue
	Books  *books.Shared
	Pace   pace.Options
	Log    *log.Logger
}

// Register adds the pages and their scripts and styles to mux. All of them work
// without scripts, but for recording, decoding in the browser and the moving trace.
func (p *Pages) Register(mux *http.ServeMux) {
	templates() // a fault in them shows before anything is served
	mux.Handle("GET /static/", http.StripPrefix("/static/", revalidated(http.FileServerFS(Static()))))
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { p.Refuse(w, r, noPage()) })
	for pattern, show := range map[string]func(http.ResponseWriter, *http.Request) error{
		"GET /{$}":                             p.showNew,
		"POST /clips":                          p.sendClip,
		"GET /clips/{id}":                      p.showClip,
		"POST /clips/{id}/book":                p.storeClip,
		"POST /clips/{id}/again":               p.againClip,
		"GET /many":                            p.showMany,
		"GET /clips/{id}/sheet":                p.showSheet,
		"GET /sheet":                           p.showBlank,
		"GET /compare":                         p.showCompare,
		"GET /book":                            p.showBook,
		"POST /book":                           p.sendMachine,
		"GET /book/{machine}":                  p.showMachine,
		"POST /book/{machine}":                 p.changeMachine,
		"GET /book/{machine}/why":              p.showWhy,
		"GET /book/{machine}/p/{pass}":         p.showPass,
		"GET /book/{machine}/p/{pass}/sheet":   p.showPassSheet,
		"GET /book/{machine}/p/{pass}/sound":   p.playKept,
		"POST /book/{machine}/p/{pass}/forget": p.forgetKept,
		"POST /book/{machine}/p/{pass}/again":  p.againKept,
		"POST /book/{machine}/compare":         p.compareKept,
		"GET /take/book.json":                  p.takeJSON,
		"GET /take/book.sqlite":                p.takeFile,
		"POST /take":                           p.bringBook,
		"GET /air":                             p.showAir,
		"GET /live":                            p.showLive,
	} {
		mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			if err := show(w, r); err != nil {
				p.Refuse(w, r, fault.Log(p.Log, err))
			}
		})
	}
}

// Static gives the scripts, styles and icons of the pages, which they look for below
// /static/.
func Static() fs.FS {
	static, err := fs.Sub(files, "static")
	if err != nil {
		panic(err) // it is part of the program
	}
	return static
}

// revalidated makes browsers check each time whether a file is still the same: the
// next version of the program may have another at this address. Folders are not
// listed, and a path that can't name a file, such as one that is not UTF-8, is not
// found: http.FileServerFS would call it a fault of the program.
func revalidated(files http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !fs.ValidPath(r.URL.Path) || r.URL.Path == "." {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Cache-Control", "no-cache")
		files.ServeHTTP(w, r)
	})
}

// link is one of those that every page has at its top.
type link struct {
	Path, Name string
	Here       bool
}

// frame is what every page has.
type frame struct {
	Title   string
	Script  string // its module, "" for none
	Refresh bool   // without scripts it is loaded again and again
	Places  []link
	Problem string // what is wrong with what was entered, "" for nothing
	Said    string // what was done, "" for nothing
}

// newFrame makes the frame of a page that belongs to the link under.
func newFrame(under, title, script string) frame {
	f := frame{Title: title, Script: script, Places: []link{
		{"/", placeNew, false}, {"/compare", placeCompare, false}, {"/book", placeBook, false}, {"/air", placeAir, false},
	}}
	for i := range f.Places {
		f.Places[i].Here = f.Places[i].Path == under
	}
	return f
}

// setProblem puts what was wrong with the entries onto a page that is shown again,
// and gives the status of the answer; nil is nothing wrong.
func (p *Pages) setProblem(f *frame, err error) (status int) {
	if err == nil {
		return http.StatusOK
	}
	problem := fault.Log(p.Log, err)
	f.Problem = problem.Sentence()
	return problem.Status
}

// render writes a page whole or not at all.
func render(w http.ResponseWriter, status int, name string, data any) error {
	var b bytes.Buffer
	if err := templates().ExecuteTemplate(&b, name, data); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = b.WriteTo(w) // an error here means that the client has gone
	return nil
}

// failedPage says what is wrong and what to do.
type failedPage struct {
	frame
	Headline, Says string
	Back, BackSays string
}

// Refuse answers with a fault as a page.
func (p *Pages) Refuse(w http.ResponseWriter, _ *http.Request, f *fault.Fault) {
	f.SetHeader(w.Header())
	failed := failedPage{newFrame("", headFailed, ""), headFailed, f.Sentence(), "/", goNew}
	if err := render(w, f.Status, "failed.html", failed); err != nil {
		p.Log.Printf("%v", err)
	}
}

// unitsCookie remembers in which units a client reads and enters the air.
const unitsCookie = "units"

// unitsOf gives the units of a request or, where it names none, those of last
// time.
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

// keepUnits remembers the units for the next time. Scripts do the same, so the
// cookie is not HttpOnly.
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
func (p *Pages) readEntries(w http.ResponseWriter, r *http.Request) error {
	body := p.Pace.Body(w, r, maxEntries)
	defer body.Done()
	if err := r.ParseForm(); err != nil {
		return pace.BodyFault(err)
	}
	return nil
}

// figures finds a space between a figure and its unit, its uncertainty or its fraction.
var figures = regexp.MustCompile(`(\d) (?:(?:rpm|s|dB|Hz)\b|%|±|\d{1,2}/\d)|± `)

// tight keeps a figure on one line with its unit and its uncertainty.
func tight(sentence string) string {
	return figures.ReplaceAllStringFunc(sentence, func(found string) string { return strings.ReplaceAll(found, " ", "\u00a0") })
}

var styles = regexp.MustCompile(`\s+style="([^"]*)"`)

// inline gives a picture that is part of a page.
func (p *Pages) inline(r *http.Request, draw func(io.Writer) error) (template.HTML, error) {
	picture, err := p.Queue.Draw(r.Context(), draw)
	if err != nil {
		return "", err
	}
	return withoutStyles(picture), nil
}

// withoutStyles gives a picture of package picture with its styles as plain
// attributes of SVG: the content policy, which allows no style in a page, would
// remove them. The custom properties in them keep their meaning.
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

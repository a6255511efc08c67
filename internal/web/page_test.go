package web

import (
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"topnote/internal/picture"
	"topnote/internal/report"
)

// visitor reads pages as a browser without scripts does.
type visitor struct {
	t    *testing.T
	site string
	http http.Client
}

func newVisitor(t *testing.T) visitor {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return visitor{t, site(t), http.Client{Jar: jar, Timeout: time.Minute}}
}

// page is an answer: its status, the path it came from, its text.
type page struct {
	status     int
	path, text string
}

func (v visitor) answer(r *http.Response, err error) page {
	v.t.Helper()
	if err != nil {
		v.t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	return page{r.StatusCode, r.Request.URL.Path, string(text)}
}

func (v visitor) get(path string) page {
	v.t.Helper()
	return v.answer(v.http.Get(v.site + path))
}

func (v visitor) post(path string, fields url.Values) page {
	v.t.Helper()
	return v.answer(v.http.PostForm(v.site+path, fields))
}

// send sends a sample by the form and waits for its result.
// Fields are names and values in turn.
func (v visitor) send(name string, fields ...string) page {
	v.t.Helper()
	sound, err := os.ReadFile(sample(v.t, name))
	if err != nil {
		v.t.Fatal(err)
	}
	r, err := http.NewRequest("POST", v.site+"/clips", nil)
	if err != nil {
		v.t.Fatal(err)
	}
	withForm(v.t, r, name, sound, fields...)
	return v.result(v.answer(v.http.Do(r)))
}

// result waits while a page says that it is loaded again.
func (v visitor) result(p page) page {
	v.t.Helper()
	for strings.Contains(p.text, `http-equiv="refresh"`) {
		time.Sleep(100 * time.Millisecond)
		p = v.get(p.path)
	}
	return p
}

// wants holds a page to its status and to what stands in it.
func (p page) wants(t *testing.T, status int, texts ...string) {
	t.Helper()
	if p.status != status {
		t.Errorf("%s: status %d, want %d", p.path, p.status, status)
	}
	plain := html.UnescapeString(p.text)
	for _, text := range texts {
		if !strings.Contains(plain, text) {
			t.Errorf("%s lacks %q", p.path, text)
		}
	}
}

// inlined is what the content policy forbids: styles, handlers and scripts that
// stand in a page. Data is no script.
var inlined = regexp.MustCompile(`(?s) style="| on[a-z]+="|<style|<script(?:>| [^>]*>)[^<]`)

var dataOnly = regexp.MustCompile(`(?s)<script type="application/json"[^>]*>.*?</script>`)

// TestWithoutScripts does what can be done without scripts, which is nearly all.
func TestWithoutScripts(t *testing.T) {
	t.Parallel()
	v := newVisitor(t)
	v.get("/").wants(t, 200, `action="/clips"`, "bench saw", "The maker's handbook")
	rich := v.send("rich.wav", "limit", "13500", "strokes", "2", "cylinders", "1")
	rich.wants(t, 200, "Four-stroking, safe side", "About your recording.", `<svg viewBox="0 0 297`, "Full throttle, no load")
	if found := inlined.FindString(dataOnly.ReplaceAllString(rich.text, "")); found != "" {
		t.Errorf("the policy forbids %q", found)
	}
	over := v.result(v.post(rich.path+"/again", url.Values{"limit": {"12000"}, "strokes": {"2"}, "cylinders": {"1"}}))
	over.wants(t, 200, "Over the limit")

	v.post(rich.path+"/book", url.Values{"h": {"1"}}).wants(t, 400, "No machine was chosen; choose one from the book.")
	v.post(rich.path+"/book", url.Values{"machine": {"bench saw"}, "h": {"a bit"}, "who": {"me"}}).wants(t, 400, `"a bit"`, `value="me"`)
	v.post(rich.path+"/book", url.Values{"machine": {"bench saw"}, "h": {"1 1/4"}, "temp": {"46"}, "altitude": {"390"}, "units": {"us"}}).
		wants(t, 200, "It is in the book: pass 1 of bench saw. It was judged by other figures", "H 1.25")
	v.send("clean.wav", "machine", "bench saw").wants(t, 200, "Clean without load", "measured for bench saw")
	v.get("/book/bench%20saw/p/1").wants(t, 200, "46 °F", "Four-stroking, safe side")
	v.get("/book/bench%20saw/p/7").wants(t, 404, "no pass")
	v.get("/air?temp=30&altitude=1000&units=metric&machine=bench+saw").wants(t, 200, "richer now than it was then", "Pass 1, ")
	v.get("/air?temp=30").wants(t, 400, "; ")
	v.get("/compare?first="+strings.TrimPrefix(rich.path, "/clips/")+"&second=").wants(t, 400, "One of the two passes is missing")
	v.get("/compare?first="+strings.TrimPrefix(rich.path, "/clips/")+"&second="+strings.TrimPrefix(over.path, "/clips/")).
		wants(t, 409, "measure them with the same entries")
	v.get("/nowhere").wants(t, 404, "There is no page at this address; begin with a new pass.")
}

// TestMachineForms: what is wrong comes back with what was entered, and what is
// right is kept.
func TestMachineForms(t *testing.T) {
	t.Parallel()
	v := newVisitor(t)
	v.post("/book", url.Values{"name": {"bench saw"}, "limit": {"9000"}}).wants(t, 409, "bench saw", `value="9000"`)
	v.post("/book", url.Values{"name": {"<b>trimmer"}, "limit": {"fast"}}).wants(t, 400, `"fast" is not a speed`, `value="<b>trimmer"`)
	p := v.post("/book", url.Values{"name": {"<b>a/b"}, "limit": {"9,000"}, "cylinders": {"2"}, "notes": {"of the shed"}})
	p.wants(t, 200, "The machine is in the book.", "2 cylinders, limit 9,000 rpm", "of the shed")
	if strings.Contains(p.text, "<b>a/b") {
		t.Error("a name was not escaped")
	}
	v.post(p.path2(), url.Values{"name": {"a/b"}, "limit": {"9100"}, "who": {"me"}}).wants(t, 200, "It is changed", "limit 9,100 rpm", "me: ")
	v.get("/book/%3Cb%3Ea%2Fb").wants(t, 404)
}

// path2 gives the path as an address has it: names may hold a slash.
func (p page) path2() string {
	return "/book/" + url.PathEscape(strings.TrimPrefix(p.path, "/book/"))
}

// TestPageColours: the style sets every colour that our pictures ask for in both
// palettes; in the light they are the same.
func TestPageColours(t *testing.T) {
	style, err := pageFiles.ReadFile("page/static/style.css")
	if err != nil {
		t.Fatal(err)
	}
	light, dark, ok := strings.Cut(string(style), "prefers-color-scheme: dark")
	if !ok {
		t.Fatal("no dark palette")
	}
	for property, c := range picture.Properties() {
		if want := fmt.Sprintf("%s: #%02x%02x%02x;", property, c.R, c.G, c.B); !strings.Contains(light, want) {
			t.Errorf("the light palette lacks %q", want)
		}
		if !strings.Contains(dark, property+": #") {
			t.Errorf("the dark palette lacks %s", property)
		}
	}
}

func TestWithoutStyles(t *testing.T) {
	got := withoutStyles([]byte("<path d=\"M0 0\"\n style=\"fill:none;stroke:var(--speed,#104682);font-family:'A B',Arial\" />"))
	want := `<path d="M0 0" fill="none" stroke="var(--speed,#104682)" font-family="'A B',Arial" />`
	if string(got) != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// TestScale: whatever the speeds, the scale shows the held speed, the limit and
// some figures, on the side where they belong.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		held := rapid.Float64Range(1000, 25000).Draw(t, "held")
		limit := rapid.Float64Range(1000, 25000).Draw(t, "limit")
		s := newScale(report.Report{
			Limits: report.Limits{MaxRPM: report.Speed(limit)},
			TopEnd: &report.TopEnd{SustainedRPM: report.Speed(held), SDRPM: rapid.Float64Range(1, 60).Draw(t, "sd")},
		})
		middle := s.From + s.Width/2
		for what, x := range map[string]float64{"speed": middle, "limit": s.Limit} {
			if x < 0 || x > scaleWidth {
				t.Fatalf("the %s stands at %g", what, x)
			}
		}
		if (middle < s.Limit) != (held < limit) && (held-limit > 10 || limit-held > 10) {
			t.Fatalf("%.0f stands at %g, the limit of %.0f at %g", held, middle, limit, s.Limit)
		}
		names := 0
		for _, tick := range s.Ticks {
			if tick.X < -1 || tick.X > scaleWidth+1 {
				t.Fatalf("a mark at %g", tick.X)
			}
			if tick.Name != "" {
				names++
			}
		}
		if names < 1 || names > 6 || len(s.Ticks) > 32 {
			t.Fatalf("%d names of %d marks", names, len(s.Ticks))
		}
	})
	if newScale(report.Report{}) != nil || newScale(report.Report{TopEnd: &report.TopEnd{SustainedRPM: 9000}}) != nil {
		t.Error("a scale without speed or limit")
	}
}

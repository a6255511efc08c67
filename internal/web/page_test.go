package web

import (
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"
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

// shown is an answer: its status, the path it came from, its text.
type shown struct {
	status     int
	path, text string
}

func (v visitor) answer(r *http.Response, err error) shown {
	v.t.Helper()
	if err != nil {
		v.t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	return shown{r.StatusCode, r.Request.URL.Path, string(text)}
}

func (v visitor) get(path string) shown {
	v.t.Helper()
	return v.answer(v.http.Get(v.site + path))
}

func (v visitor) post(path string, fields url.Values) shown {
	v.t.Helper()
	return v.answer(v.http.PostForm(v.site+path, fields))
}

// send sends an excerpt by the form and waits for its result.
// Fields are names and values in turn.
func (v visitor) send(name string, fields ...string) shown {
	v.t.Helper()
	r, err := http.NewRequest("POST", v.site+"/clips", nil)
	if err != nil {
		v.t.Fatal(err)
	}
	withForm(v.t, r, name, excerpt(v.t, strings.TrimSuffix(name, ".wav")), fields...)
	return v.result(v.answer(v.http.Do(r)))
}

// result waits while a page says that it is loaded again.
func (v visitor) result(p shown) shown {
	v.t.Helper()
	for strings.Contains(p.text, `http-equiv="refresh"`) {
		time.Sleep(100 * time.Millisecond)
		p = v.get(p.path)
	}
	return p
}

// wants holds a page to its status and to what stands in it.
func (p shown) wants(t *testing.T, status int, texts ...string) {
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
	rich.wants(t, 200, "Four-stroking, safe side", "About your recording ", `<svg viewBox="0 0 297`, "At full throttle")
	if found := inlined.FindString(dataOnly.ReplaceAllString(rich.text, "")); found != "" {
		t.Errorf("the policy forbids %q", found)
	}
	over := v.result(v.post(rich.path+"/again", url.Values{"limit": {"12000"}, "strokes": {"2"}, "cylinders": {"1"}}))
	over.wants(t, 200, "Over the limit")

	v.post(rich.path+"/book", url.Values{"h": {"1"}}).wants(t, 400, "No machine was chosen; choose one from the book.")
	v.post(rich.path+"/book", url.Values{"machine": {"bench saw"}, "h": {"a bit"}, "who": {"me"}}).wants(t, 400, `"a bit"`, `value="me"`)
	v.post(rich.path+"/book", url.Values{"machine": {"bench saw"}, "h": {"1 1/4"}, "temp": {"46"}, "altitude": {"390"}, "units": {"us"}}).
		wants(t, 200, "Saved to the book: pass 1 of bench saw. It was judged by other figures", "H 1\u00a01/4")
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
	p.wants(t, 200, "Machine added.", "2 cylinders, limit 9,000 rpm", "of the shed")
	if strings.Contains(p.text, "<b>a/b") {
		t.Error("a name was not escaped")
	}
	v.post(p.path2(), url.Values{"name": {"a/b"}, "limit": {"9100"}, "who": {"me"}}).wants(t, 200, "Saved. The book keeps", "limit 9,100 rpm", "me: ")
	v.get("/book/%3Cb%3Ea%2Fb").wants(t, 404)
}

// path2 gives the path as an address has it: names may hold a slash.
func (p shown) path2() string {
	return "/book/" + url.PathEscape(strings.TrimPrefix(p.path, "/book/"))
}

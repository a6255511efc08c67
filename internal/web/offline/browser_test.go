package offline_test

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"topnote/internal/race"
	"topnote/internal/web/offline"
)

// below is where the host of the tests has the files: in a folder, as web space of a
// school is.
const below = "/school/tools/topnote/"

// program finds a program by one of its names. Where there is none the test is
// skipped, but not in CI, which has it.
func program(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is missing in CI", names[0])
	}
	t.Skipf("no %s here", names[0])
	return ""
}

// host serves the folder that topnote page writes as any web server does, until stop
// is called.
func host(t *testing.T) (address string, stop func()) {
	t.Helper()
	_, address, stop = folderHost(t)
	return address, stop
}

// folderHost is host, and gives the folder.
func folderHost(t *testing.T) (folder, address string, stop func()) {
	t.Helper()
	folder = t.TempDir()
	if _, err := offline.WriteFolder(folder); errors.Is(err, offline.ErrNotBuilt) {
		if os.Getenv("CI") == "true" {
			t.Fatal("the files are not built in CI")
		}
		t.Skip("the files are not built; go run .ci/page.go")
	} else if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.StripPrefix(below, http.FileServer(http.Dir(folder))))
	t.Cleanup(server.Close)
	return folder, server.URL + below, server.Close
}

// window is a page of a browser.
type window interface {
	// evaluate gives what an expression of JavaScript comes to, as JSON; where that is a
	// promise, what that comes to.
	evaluate(ctx context.Context, expression string) (text string, err error)
	navigate(address string) error
}

// asJSON makes an expression of one whose value is waited for.
func asJSON(expression string) string {
	return `(async () => JSON.stringify(await (` + expression + `)) ?? "null")()`
}

// phone is a browser with its own profile, whose pages are in a frame.
type phone struct {
	*testing.T
	window
	downloads string
	seen      *complaints
}

// chromium is a page of Chromium.
type chromium struct{ ctx context.Context }

func (c chromium) navigate(address string) error {
	return chromedp.Do(c.ctx, chromedp.Navigate(address))
}

func (c chromium) evaluate(ctx context.Context, expression string) (string, error) {
	of, cancel := context.WithCancel(c.ctx)
	defer context.AfterFunc(ctx, cancel)()
	defer cancel()
	return chromedp.Run(of, chromedp.Evaluate[string](asJSON(expression), chromedp.EvalAwaitPromise))
}

// startPhone starts a browser with a profile, which may be an earlier one's.
func startPhone(t *testing.T, profile string) (p phone, end func()) {
	t.Helper()
	if race.Enabled || testing.Short() {
		t.Skip("a browser is slow, and of the program it runs another build")
	}
	microphone, err := filepath.Abs(filepath.Join("..", "..", "..", "samples", "over.wav"))
	if err != nil {
		t.Fatal(err)
	}
	alloc, cancelAlloc := chromedp.NewExecAllocator(context.Background(),
		chromedp.ExecPath(program(t, "chromium", "chromium-browser", "google-chrome")), chromedp.UserDataDir(profile),
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", microphone),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"),
	)
	p = phone{T: t, downloads: t.TempDir(), seen: &complaints{}}
	ctx, cancel := chromedp.NewContext(alloc, chromedp.WithListener(p.seen.listen))
	p.window = chromium{ctx}
	end = func() {
		closing, stop := context.WithTimeout(ctx, 10*time.Second)
		defer stop()
		_ = chromedp.Cancel(closing) // waits until the browser has left its folder
		cancel()
		cancelAlloc()
	}
	if err = chromedp.Do(ctx); err == nil {
		_, err = chromedp.Call(ctx, log.Enable, cdp.Empty{})
	}
	if err == nil {
		_, err = chromedp.Call(ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{Behavior: "allow", DownloadPath: p.downloads})
	}
	if err != nil {
		end()
		t.Fatal(err)
	}
	return p, end
}

// complaints are what the browser finds wrong with a page.
type complaints struct {
	mu   sync.Mutex
	list []string
}

func (c *complaints) listen(event any) {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		says := e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			says = e.ExceptionDetails.Exception.Description
		}
		c.list = append(c.list, says)
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError {
			c.list = append(c.list, e.Entry.Text+" "+e.Entry.URL)
		}
	}
}

func (c *complaints) all() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return strings.Join(c.list, "\n")
}

// patience is how long a browser may take for one thing, others beside it: on a machine
// with twenty programs at work on two cores, two minutes were not enough.
const patience = 5 * time.Minute

// eval gives what an expression of JavaScript comes to.
func eval[T any](p phone, expression string) T {
	p.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	text, err := p.evaluate(ctx, expression)
	var v T
	if err == nil {
		err = json.Unmarshal([]byte(text), &v)
	}
	if err != nil {
		p.Fatalf("%v in %.300s\n%s", err, expression, p.state())
	}
	return v
}

// state tells what is to be seen, for failures.
func (p phone) state() string {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	text, err := p.evaluate(ctx, `document.body.innerText + "\n" +
		document.getElementById("pages")?.contentDocument?.body.innerText.slice(0, 800)`)
	return fmt.Sprintf("%s (%v)\nthe console: %s", text, err, p.seen.all())
}

// open opens the page and waits until the program runs and is kept.
func (p phone) open(address string) {
	p.Helper()
	p.begin(address)
	p.until(`document.documentElement.dataset.kept`)
}

// begin opens the page and waits until the program runs.
func (p phone) begin(address string) {
	p.Helper()
	if err := p.navigate(address); err != nil {
		p.Fatal(err)
	}
	p.until(`document.documentElement.dataset.ready`)
	p.untilShown(`d.querySelector("h1")`)
}

// until waits until an expression is true.
func (p phone) until(expression string) {
	p.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	for {
		ok, err := p.evaluate(ctx, "!!("+expression+")") // fails while a page is on its way
		if err == nil && ok == "true" {
			return
		}
		if ctx.Err() != nil {
			p.Fatalf("never true: %s (%v)\n%s", expression, err, p.state())
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// untilShown waits until an expression of d is true in the frame, and its page is there to the end.
func (p phone) untilShown(expression string) {
	p.Helper()
	p.until(inFrame(`d.readyState === "complete" && (` + expression + `)`))
}

// inFrame makes an expression in which d is the document of the frame.
func inFrame(expression string) string {
	return `((d) => ` + expression + `)(document.getElementById("pages").contentDocument ?? document)`
}

// text gives the text of the first element in the frame that a selector matches.
func (p phone) text(selector string) string {
	p.Helper()
	return eval[string](p, inFrame(fmt.Sprintf(`d.querySelector(%q)?.innerText ?? ""`, selector)))
}

// act runs statements in which d is the document of the frame.
func (p phone) act(statements string) {
	p.Helper()
	eval[bool](p, `((d) => { `+statements+`; return true; })(document.getElementById("pages").contentDocument)`)
}

// visit goes to a page of the frame by its path.
func (p phone) visit(path string) {
	p.Helper()
	p.act(`d.title = "leaving"; d.defaultView.location.assign(new URL("app` + path + `", location.href.split("#")[0]).href)`)
	p.untilShown(`d.title !== "leaving" && d.querySelector("h1")`)
}

// choose puts a file into the field of an ID, as a person does who picks it.
func (p phone) choose(id, path string) {
	p.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		p.Fatal(err)
	}
	name, err := json.Marshal(filepath.Base(path))
	if err != nil {
		p.Fatal(err)
	}
	p.act(fmt.Sprintf(`const bytes = Uint8Array.from(atob(%q), (c) => c.charCodeAt(0));
		const w = d.defaultView, all = new w.DataTransfer();
		all.items.add(new w.File([bytes], %s));
		d.getElementById(%q).files = all.files;
		d.getElementById(%q).dispatchEvent(new w.Event("change", { bubbles: true }));`, base64.StdEncoding.EncodeToString(content), name, id, id))
}

// measure measures a recording on the first page.
func (p phone) measure(path, headline string) {
	p.Helper()
	p.visit("/")
	p.choose("clip", path)
	p.act(`d.getElementById("limit").value = "13500"; d.getElementById("measure").click()`)
	p.untilShown(`d.querySelector("#track") || d.getElementById("work-problem")?.textContent`)
	if says := p.text("h1"); !strings.Contains(says, headline) {
		p.Errorf("%s: the headline is %q, with %q; want %q", filepath.Base(path), says, p.text("#work-problem"), headline)
	}
}

// download clicks a link to a file and gives the bytes that were saved.
func (p phone) download(selector, name string) []byte {
	p.Helper()
	p.act(fmt.Sprintf(`d.querySelector(%q).click()`, selector))
	path := filepath.Join(p.downloads, name)
	for range 100 {
		if content, err := os.ReadFile(path); err == nil && len(content) > 0 {
			return content
		}
		time.Sleep(100 * time.Millisecond)
	}
	p.Fatalf("%s was not saved", name)
	return nil
}

package web

import (
	"context"
	"fmt"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	browserlog "github.com/chromedp/cdproto/log"
	browsernet "github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"topnote/internal/book"
	"topnote/internal/clip"
	"topnote/internal/race"
	"topnote/internal/report"
	"topnote/internal/synth"
)

// program finds a program by one of its names. Where there is none the test is
// skipped, with what it is wanted for, but not in CI, which has it.
func program(t *testing.T, wanted string, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is missing in CI", names[0])
	}
	t.Skipf("no %s here to %s", names[0], wanted)
	return ""
}

// sample gives the path of a shipped pass.
func sample(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join("..", "..", "samples", name))
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// excerptFile gives the path of a file of this name with an excerpt of that shipped
// pass.
func excerptFile(t *testing.T, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, excerpt(t, strings.TrimSuffix(name, ".wav")), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// site serves the pages on loopback, with a book that has one machine.
func site(t *testing.T) string {
	t.Helper()
	return siteOf(t, func(*Config) {})
}

// siteOf serves them with a configuration that is changed.
func siteOf(t *testing.T, change func(*Config)) string {
	t.Helper()
	folder := t.TempDir()
	c := Config{Listen: "127.0.0.1:0", Temp: folder, Book: filepath.Join(folder, "book.sqlite"), Options: Default(), Log: t.Output()}
	change(&c)
	s, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(s.Handler())
	t.Cleanup(func() {
		server.Close()
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	if _, err := s.books.AddMachine(book.Machine{Name: "bench saw", Limits: report.Limits{MaxRPM: 13500, IdleRPM: 2800, ClutchRPM: 3700}}); err != nil {
		t.Fatal(err)
	}
	return server.URL
}

// tab is a window of a browser on the pages.
type tab struct {
	t    *testing.T
	ctx  context.Context
	site string
	seen *complaints
}

// complaints are what a browser finds wrong with pages: faults of scripts, what
// the content policy stopped, and requests to anywhere else.
type complaints struct {
	mu   sync.Mutex
	list []string
}

func (c *complaints) add(format string, args ...any) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if one := fmt.Sprintf(format, args...); !slices.Contains(c.list, one) {
		c.list = append(c.list, one)
	}
}

// chromium is the one browser of all tests, and the folder of its profile. Each test
// has a tab in a browser context of its own: cookies, storage and cache are not shared.
var chromium struct {
	once   sync.Once
	ctx    context.Context
	folder string
	err    error
}

// TestMain ends the browser after the last test.
func TestMain(m *testing.M) {
	status := m.Run()
	if chromium.ctx != nil {
		ctx, cancel := context.WithTimeout(chromium.ctx, 10*time.Second)
		_ = chromedp.Cancel(ctx) // waits until the browser has left its folder
		cancel()
		_ = os.RemoveAll(chromium.folder)
	}
	os.Exit(status)
}

// startBrowser starts it with what any of the tests needs: a microphone that plays
// microphonePass, and no complaint about our certificate.
func startBrowser(path string) {
	c := &chromium
	if c.folder, c.err = os.MkdirTemp("", "topnote-browser-*"); c.err != nil {
		return
	}
	microphone := filepath.Join(c.folder, "microphone.wav")
	pass := microphonePass()
	if c.err = clip.WriteWAVFile(microphone, pass.Render().Samples, pass.Rate); c.err != nil {
		return
	}
	ctx, _ := chromedp.NewExecAllocator(context.Background(), // TestMain ends it
		chromedp.ExecPath(path), chromedp.UserDataDir(filepath.Join(c.folder, "profile")),
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.IgnoreCertErrors,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("disable-background-timer-throttling", true), chromedp.Flag("disable-renderer-backgrounding", true),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"), chromedp.Flag("hide-scrollbars", true),
		chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", microphone+"%noloop"),
	)
	c.ctx, _ = chromedp.NewContext(ctx)
	c.err = chromedp.Do(c.ctx)
}

// microphonePass is what the browser's microphone plays, once, from when a page opens
// it: the saw of the shipped pass "over", with time for each step of a pass. After its
// end the microphone plays noise.
func microphonePass() synth.Scene {
	s := synth.Samples()[1].Scene
	s.Profile = synth.Pass{Idle: 2800, Top: 14050, IdleFor: 4.6, RiseIn: 0.5, HoldFor: 4, FallIn: 0.9, ReturnFor: 5}.Profile()
	return s
}

// looksOnly skips a test that looks at pages under the race detector, which has seen
// their handlers in the tests that are left.
func looksOnly(t *testing.T) {
	t.Helper()
	if race.Enabled {
		t.Skip("looks at pages; TestWholeJob on a phone has all that the race detector can see here")
	}
}

// openTab opens a window of this size. The test fails at its end where the
// browser found something wrong with a page. Browsers take their time: -short
// leaves them out.
func openTab(t *testing.T, site string, width, height int64) tab {
	t.Helper()
	if testing.Short() {
		t.Skip("no browser in a short run")
	}
	path := program(t, "open the pages with", "chromium", "chromium-browser")
	chromium.once.Do(func() { startBrowser(path) })
	if chromium.err != nil {
		t.Fatal(chromium.err)
	}
	b := tab{t: t, site: site, seen: &complaints{}}
	b.ctx, _ = chromedp.NewContext(chromium.ctx, chromedp.WithNewBrowserContext(), chromedp.WithListener(b.listen)) // Cancel, below, ends it
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(b.ctx, 10*time.Second)
		defer cancel()
		_ = chromedp.Cancel(ctx)
	})
	scale := chromedp.EmulateScale(1)
	if width < 600 {
		b.do(chromedp.EmulateViewport(width, height, scale, chromedp.EmulateMobile, chromedp.EmulateTouch))
	} else {
		b.do(chromedp.EmulateViewport(width, height, scale))
	}
	_, err := chromedp.Call(b.ctx, browserlog.Enable, cdp.Empty{})
	if err == nil {
		_, err = chromedp.Call(b.ctx, browsernet.Enable, browsernet.EnableParams{})
	}
	if err == nil { // each tab behaves as the one in front
		_, err = chromedp.Call(b.ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		b.seen.mu.Lock()
		defer b.seen.mu.Unlock()
		for _, one := range b.seen.list {
			t.Errorf("the browser complains: %s", one)
		}
	})
	return b
}

func (b tab) listen(event any) {
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		b.seen.add("%s at %s:%d", describe(e.ExceptionDetails), e.ExceptionDetails.URL, e.ExceptionDetails.LineNumber+1)
	case *browserlog.EventEntryAdded:
		if e.Entry.Level == browserlog.EntryLevelError && e.Entry.Source != browserlog.EntrySourceNetwork {
			b.seen.add("%s %s", e.Entry.Text, e.Entry.URL)
		}
	case *browsernet.EventRequestWillBeSent:
		to, err := url.Parse(e.Request.URL)
		if err != nil || strings.HasPrefix(to.Scheme, "http") && !strings.HasPrefix(e.Request.URL, b.site) {
			b.seen.add("it asks for %s", e.Request.URL)
		}
	}
}

func describe(e *runtime.ExceptionDetails) string {
	if e.Exception != nil && e.Exception.Description != "" {
		return e.Exception.Description
	}
	return e.Text
}

// patience is how long a browser may take for one thing: with the race detector and
// other tests beside, a long clip takes more than a minute.
const patience = 3 * time.Minute

// do runs actions; the test ends where one fails.
func (b tab) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	// The first call opens the tab and must have the context itself.
	for _, action := range actions {
		if err := chromedp.Do(b.ctx, action); err != nil {
			b.t.Fatalf("%v\n%s", err, b.state())
		}
	}
}

// state tells what the page shows, for failures.
func (b tab) state() string {
	ctx, cancel := context.WithTimeout(b.ctx, 5*time.Second)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`location.pathname + "\n" + document.body.innerText.slice(0, 600)`))
	if err != nil {
		return err.Error()
	}
	return text
}

// eval gives what an expression of JavaScript comes to.
func eval[T any](b tab, expression string) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%v in %s\n%s", err, expression, b.state())
	}
	return v
}

// until waits for an expression to become true on a page that is there whole.
func (b tab) until(expression string) {
	b.t.Helper()
	expression = `document.readyState === "complete" && (` + expression + `)`
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	for {
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](expression)) // fails while a page is on its way
		if err == nil && ok {
			return
		}
		if ctx.Err() != nil {
			b.t.Fatalf("never true: %s (%v)\n%s", expression, err, b.state())
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// visit opens a page and waits for it.
func (b tab) visit(path string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.site+path), chromedp.WaitReady(chromedp.CSS("main")))
}

// at waits until the page of an address is there whole.
func (b tab) at(prefix string) {
	b.t.Helper()
	b.until(fmt.Sprintf(`location.pathname.startsWith(%q)`, prefix))
}

// text gives what an element shows.
func (b tab) text(selector string) string {
	b.t.Helper()
	return eval[string](b, fmt.Sprintf(`(document.querySelector(%q)?.innerText ?? "no "+%q)`, selector, selector))
}

// fits holds the page, called what, to the width of the window.
func (b tab) fits(what string) {
	b.t.Helper()
	if over := eval[float64](b, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
		b.t.Errorf("%s is %.0f pixels too wide: %s", what, over, eval[string](b, `[...document.querySelectorAll("main *")].filter((e) => e.getBoundingClientRect().right > innerWidth && !e.closest(".scroll, svg")).map((e) => e.outerHTML.slice(0, 60)).slice(-3).join(" ")`))
	}
}

// shoot leaves a picture of the whole page in the folder LOOK, where that is
// set.
func (b tab) shoot(name string) {
	b.t.Helper()
	folder := os.Getenv("LOOK")
	if folder == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name+".png"), png, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// measured sends a recording with figures by the page and waits for its result.
func (b tab) measured(path, limit string) {
	b.t.Helper()
	b.visit("/")
	b.do(chromedp.SetUploadFiles(chromedp.ID("clip"), []string{path}))
	if limit != "" {
		b.do(chromedp.SetValue(chromedp.ID("limit"), limit))
	}
	b.do(chromedp.Click(chromedp.ID("measure")))
	b.at("/clips/")
	b.until(`!!document.querySelector("#verdict")`)
}

// unfold opens a folded part of a page.
func (b tab) unfold(id string) {
	b.t.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.getElementById(%q).open = true`, id)))
}

// content gives the words of an element, folded ones too.
func (b tab) content(selector string) string {
	b.t.Helper()
	return eval[string](b, fmt.Sprintf(`document.querySelector(%q).textContent`, selector))
}

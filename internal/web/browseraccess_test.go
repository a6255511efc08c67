package web

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestAccess looks at every page, on a phone and on a desk, in the light and in
// the dark: each control has a name, each landmark is there once, what is
// pressed is large, what is read stands out, nothing is wider than the window.
// With AXE=FILE it has axe-core look as well, whose axe.min.js that file is.
func TestAccess(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 360, 800)
	checks, err := os.ReadFile("testdata/access.js")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range b.allPages() {
		b.visit(path)
		b.until(`document.readyState === "complete" && !document.querySelector("#player[hidden]")`)
		b.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach(d => d.open = true)`))
		for _, look := range []struct { // sizes depend on the width alone, and colours on the scheme
			width  int64
			scheme string
		}{{195, "light"}, {360, "light"}, {360, "dark"}, {1440, "light"}, {1920, "dark"}} {
			b.do(chromedp.EmulateViewport(look.width, 800))
			b.fits(fmt.Sprintf("%s at %d", path, look.width))
			b.scheme(look.scheme)
			for _, found := range eval[[]string](b, string(checks)) {
				t.Errorf("%s at %d in the %s: %s", path, look.width, look.scheme, found)
			}
		}
		b.checkTree(path)
		b.axe(path)
		b.shoot("access" + strings.NewReplacer("/", "-", "?", "-", "=", "-", "&", "-").Replace(path))
		b.scheme("light")
	}
}

// allPages fills the book and gives the addresses of all pages with something in
// them.
func (b tab) allPages() []string {
	b.measured(excerptFile(b.t, "rich.wav"), "13500")
	first := eval[string](b, `location.pathname`)
	w := walk{b, "access"}
	w.store("temp=8 altitude=120 h=1 keep=yes")
	b.measured(excerptFile(b.t, "high-idle.wav"), "13500")
	second := eval[string](b, `location.pathname`)
	w.store("temp=20 altitude=120 h=1.125 keep=yes")
	id := func(path string) string { return strings.TrimPrefix(path, "/clips/") }
	return []string{
		"/", first, second, "/compare", "/compare?first=" + id(first) + "&second=" + id(second),
		"/book", "/book/bench%20saw", "/book/bench%20saw/why", "/book/bench%20saw/p/1", "/book/bench%20saw/p/1/sheet",
		"/live", "/air", "/air?temp=5&altitude=120&machine=bench+saw", "/air?temp=hot", "/nowhere",
		"/many?clips=" + id(first) + "," + id(second), first + "/sheet", "/sheet",
	}
}

// scheme has the page in the light or in the dark.
func (b tab) scheme(name string) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: name}},
	})
	if err != nil {
		b.t.Fatal(err)
	}
}

// mustHaveName are the roles that must have a name: nobody knows what they are for
// without.
var mustHaveName = []string{
	"button", "link", "textbox", "combobox", "listbox", "slider", "radio", "checkbox", "spinbutton",
	"image", "img", "meter", "progressbar", "region", "navigation", "DisclosureTriangle", "table", "heading",
}

// checkTree reads what the browser tells a screen reader.
func (b tab) checkTree(path string) {
	b.t.Helper()
	tree, err := chromedp.Call(b.ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	if err != nil {
		b.t.Fatal(err)
	}
	count := map[string]int{}
	for _, n := range tree.Nodes {
		role, name := valueOf(n.Role), valueOf(n.Name)
		if n.Ignored {
			continue
		}
		count[role]++
		if slices.Contains(mustHaveName, role) && strings.TrimSpace(name) == "" {
			b.t.Errorf("%s: a %s without a name (node %s)", path, role, n.NodeID)
		}
	}
	for _, landmark := range []string{"banner", "navigation", "main", "contentinfo"} {
		if count[landmark] != 1 {
			b.t.Errorf("%s has %d of %s", path, count[landmark], landmark)
		}
	}
	if count["link"] < 4 {
		b.t.Errorf("%s: only %d links were found", path, count["link"])
	}
}

func valueOf(v *accessibility.Value) string {
	if v == nil {
		return ""
	}
	var text string
	if json.Unmarshal(v.Value, &text) != nil {
		return ""
	}
	return text
}

// axe has axe-core look at the page, where there is one.
func (b tab) axe(path string) {
	b.t.Helper()
	file := os.Getenv("AXE")
	if file == "" {
		return
	}
	script, err := os.ReadFile(file)
	if err != nil {
		b.t.Fatal(err)
	}
	b.do(chromedp.Evaluate[chromedp.Void](string(script)))
	for _, found := range eval[[]string](b, `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}).then(r => (r.passes.length < 10 ? ["it hardly looked"] : []).concat(r.violations.map(v => v.id + ": " + v.help + " " + v.nodes.map(n => n.target.join(" ") + " " + n.failureSummary).slice(0, 4).join(" | "))))`) {
		b.t.Errorf("%s: axe: %s", path, found)
	}
}

// TestKeyboard does the job by the keyboard alone: only the file is put into its
// field, which the system's own window does otherwise.
func TestKeyboard(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 1440, 800)
	b.visit("/")
	b.press(kb.Tab)
	if got := eval[string](b, `document.activeElement.innerText`); got != "To the content" {
		t.Errorf("Tab begins at %q", got)
	}
	b.press(kb.Enter)
	b.do(chromedp.SetUploadFiles(chromedp.ID("clip"), []string{excerptFile(t, "over.wav")}))
	b.tabTo("limit")
	b.press("13500")
	b.tabTo("measure")
	b.press(kb.Enter)
	b.at("/clips/")
	b.until(`!!document.querySelector("#trace svg")`)
	b.tabTo("trace")
	b.press(kb.Home)
	at := func() float64 {
		return eval[float64](b, `Number(document.getElementById("trace").getAttribute("aria-valuenow"))`)
	}
	for range 5 {
		b.press(kb.ArrowRight)
	}
	says := func() string {
		return eval[string](b, `document.getElementById("trace").getAttribute("aria-valuetext")`)
	}
	if got := at(); got != 0.5 || !strings.Contains(says(), "rpm") || !strings.Contains(says(), "idle") {
		t.Errorf("five arrows go to %.1f s, said as %q", got, says())
	}
	b.press(kb.PageUp)
	if got := at(); got != 1.5 || !strings.Contains(says(), "full throttle") {
		t.Errorf("a leap more goes to %.1f s, said as %q", got, says())
	}
	b.press(" ")
	b.until(`!document.getElementById("sound").paused && document.getElementById("sound").currentTime > 1.6`)
	b.press(" ")
	b.until(`document.getElementById("sound").paused`)
	b.tabTo("slower")
	b.press(" ")
	if rate := eval[float64](b, `document.getElementById("sound").playbackRate`); rate != 0.25 {
		t.Errorf("it plays at %.2f of the speed", rate)
	}
	for _, id := range []string{"reply-open", "copy"} {
		b.tabTo(id)
		b.press(kb.Enter)
	}
	b.until(`document.getElementById("copied").innerText !== ""`)
}

// press presses keys.
func (b tab) press(keys string) {
	b.t.Helper()
	b.do(chromedp.KeyEvent(keys))
}

// tabTo presses Tab until an element has the focus, and holds every stop on the
// way to showing that it has it.
func (b tab) tabTo(id string) {
	b.t.Helper()
	for range 60 {
		b.press(kb.Tab)
		type stop struct {
			ID      string
			Outline bool
			Seen    bool
			What    string
		}
		// Within a second: the browser scrolls there and paints in its own time.
		s := eval[stop](b, `new Promise((done) => {
			const look = (frames) => {
				const e = document.activeElement, s = getComputedStyle(e), r = e.getBoundingClientRect();
				const stop = {ID: e.id, What: e.outerHTML.slice(0, 80) + " at " + Math.round(r.top) + ", page at " + Math.round(scrollY) + " of " + document.documentElement.scrollHeight,
					Outline: s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2 || !!e.closest("label:has(:focus-visible)"),
					Seen: r.bottom > 0 && r.top < innerHeight};
				if (stop.Outline && stop.Seen || frames === 0) done(stop);
				else requestAnimationFrame(() => look(frames - 1));
			};
			look(60);
		})`)
		if s.What != "" && !strings.HasPrefix(s.What, "<body") && (!s.Outline || !s.Seen) {
			b.t.Errorf("the focus cannot be seen at %s (outline: %v, in the window: %v)", s.What, s.Outline, s.Seen)
		}
		if s.ID == id {
			return
		}
	}
	b.t.Fatalf("Tab does not come to %s", id)
}

package web

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/web/jobs"

	"github.com/chromedp/chromedp"
)

// TestPageEntries: a machine brings its figures along, a file can be dropped, and
// what is entered of the day before the pass waits on the result for the book.
func TestPageEntries(t *testing.T) {
	t.Parallel()
	b := openTab(t, site(t), 360, 740)
	b.visit("/")
	b.choose("machine", "bench saw")
	if got := eval[string](b, `["limit", "idle", "clutch", "strokes", "cylinders"].map((id) => document.getElementById(id).value).join(" ")`); got != "13,500 2,800 3,700 2 1" {
		t.Errorf("the machine brings %q", got)
	}
	b.do(
		chromedp.Click(chromedp.CSS("#day summary")), chromedp.SetValue(chromedp.ID("temp"), "8"), chromedp.SetValue(chromedp.ID("altitude"), "120"),
		chromedp.SetValue(chromedp.ID("h"), "1 1/4"), chromedp.SetValue(chromedp.ID("who"), "the apprentice"),
	)
	b.drop("clean.wav")
	b.do(chromedp.Click(chromedp.ID("measure")))
	b.at("/clips/")
	b.until(`document.getElementById("store")?.open`)
	if got := eval[string](b, `["machine", "temp", "altitude", "h", "who"].map((id) => document.querySelector("#store #" + id).value).join(", ")`); got != "bench saw, 8, 120, 1 1/4, the apprentice" {
		t.Errorf("for the book waits %q", got)
	}
	b.do(chromedp.Click(chromedp.CSS("#store button")))
	b.at("/book/")
	if got := b.text(".said"); got != "Saved to the book: pass 1 of bench saw." {
		t.Errorf("it says %q", got)
	}
}

// choose chooses from a list as a person does, so that the page notices.
func (b tab) choose(id, value string) {
	b.t.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`((list) => { list.value = %q; list.dispatchEvent(new Event("change", {bubbles: true})); })(document.getElementById(%q))`, value, id)))
}

// drop drops a sample onto the page, as it would come from a folder.
func (b tab) drop(name string) {
	b.t.Helper()
	// The file gets into the page by a field of its own.
	b.do(
		chromedp.Evaluate[chromedp.Void](`document.body.append(Object.assign(document.createElement("input"), {type: "file", id: "hand"}))`),
		chromedp.SetUploadFiles(chromedp.ID("hand"), []string{excerptFile(b.t, name)}),
	)
	got := eval[string](b, `(() => {
		const hand = document.getElementById("hand"), dataTransfer = new DataTransfer();
		dataTransfer.items.add(hand.files[0]);
		hand.remove();
		const over = new DragEvent("dragover", {bubbles: true, cancelable: true, dataTransfer});
		document.querySelector("#drop p, #drop label").dispatchEvent(over);
		if (!over.defaultPrevented) return "it may not be dropped there";
		document.querySelector("#drop label").dispatchEvent(new DragEvent("drop", {bubbles: true, cancelable: true, dataTransfer}));
		return document.getElementById("clip").files[0]?.name ?? "nothing";
	})()`)
	if got != name {
		b.t.Fatalf("dropped, there is %s", got)
	}
}

// TestLongNames: names as long as they may be make no page wider than the window.
func TestLongNames(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 360, 740)
	long := strings.Repeat("W", jobs.MaxName)
	b.measured(excerptFile(t, "rich.wav"), "13500")
	again := func() string {
		return eval[string](b, fmt.Sprintf(`fetch("/api/v1" + location.pathname + "/again?wait=1", {
			method: "POST", headers: {"Content-Type": "application/json"}, body: JSON.stringify({name: %q, limit: "13500"}),
		}).then((answer) => answer.headers.get("Location").split("/").pop())`, long))
	}
	first, second := again(), again()
	b.visit("/book")
	machine := long[:80] // as long as a book takes it
	b.do(chromedp.SetValue(chromedp.ID("name"), machine), chromedp.Click(chromedp.CSS("form button")))
	b.until(`document.querySelector("h1").innerText.startsWith("WW")`)
	for _, path := range []string{"/", "/clips/" + first, "/compare", "/compare?first=" + first + "&second=" + second, "/book", "/book/" + machine, "/air", "/live"} {
		b.visit(path)
		b.until(`!document.querySelector("#player[hidden]")`)
		b.fits(path)
	}
}

// TestPhoneOverNetwork comes in by the code over https, as a phone does, and may
// record there; without the code there is nothing.
func TestPhoneOverNetwork(t *testing.T) {
	t.Parallel()
	s, err := New(Config{Listen: "127.0.0.1:0", LAN: true, TLS: true, Temp: t.TempDir(), Book: filepath.Join(t.TempDir(), "book.sqlite"), Options: Default()})
	if err != nil {
		t.Fatal(err)
	}
	place, stop := run(t, s)
	b := openTab(t, strings.TrimSuffix(place.URLs[0], "/"), 360, 740)
	b.do(chromedp.Navigate(b.site + "/"))
	if eval[bool](b, `!!document.querySelector("#clip")`) {
		t.Error("the page shows without the code")
	}
	b.scheme("dark")
	if got := eval[string](b, `getComputedStyle(document.documentElement).backgroundColor`); got != "rgb(18, 22, 26)" {
		t.Errorf("in the dark the page that asks for the code is %s", got)
	}
	b.do(chromedp.Navigate(place.Enter))
	b.at("/")
	b.until(`!!document.querySelector("#clip")`)
	if !eval[bool](b, `isSecureContext && !document.getElementById("record").disabled`) {
		t.Error("it cannot record there")
	}
	b.measured(excerptFile(t, "rich.wav"), "13500")
	if err := stop(); err != nil {
		t.Error(err)
	}
}

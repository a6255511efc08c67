package offline_test

import (
	"bytes"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"topnote/internal/book"
)

// TestPhoneTabs: a second tab says that the first one has the book, takes it over when
// asked, and the first says so.
func TestPhoneTabs(t *testing.T) {
	t.Parallel()
	address, _ := host(t)
	first, end := startPhone(t, t.TempDir())
	defer end()
	first.open(address)
	first.enter("bench saw")
	second := first
	tab, cancel := chromedp.NewContext(first.window.(chromium).ctx)
	second.window = chromium{tab}
	defer cancel()
	if err := second.navigate(address); err != nil {
		t.Fatal(err)
	}
	second.until(`document.getElementById("said").textContent.includes("open in another tab")`)
	eval[bool](second, `document.getElementById("act").click() ?? true`)
	second.until(`document.documentElement.dataset.ready`)
	second.visit("/book")
	if says := second.text("main"); !strings.Contains(says, "bench saw") {
		t.Errorf("the second tab has another book:\n%s", says)
	}
	if says := eval[string](first, `document.getElementById("said").textContent`); !strings.Contains(says, "goes on in another tab") {
		t.Errorf("the first tab says %q", says)
	}
}

// TestPhoneKeptAgain: a page whose first visit ended before it was kept, or whose files
// the browser has thrown away, is loaded and kept anew, and its book is still there.
func TestPhoneKeptAgain(t *testing.T) {
	t.Parallel()
	address, stop := host(t)
	p, end := startPhone(t, t.TempDir())
	defer end()
	p.open(address)
	p.enter("bench saw")
	if !eval[bool](p, `caches.keys().then((all) => Promise.all(all.map((one) => caches.delete(one)))).then((gone) => gone.length === 1)`) {
		t.Error("there was not one version kept")
	}
	p.open(address)
	stop()
	p.open(address)
	p.visit("/book")
	if says := p.text("main"); !strings.Contains(says, "bench saw") {
		t.Errorf("the book is another one:\n%s", says)
	}
}

// TestPhoneStopped stops a long measurement: the program, which hears nothing while it
// measures, is ended and started anew with the same book, and measures the next one.
func TestPhoneStopped(t *testing.T) {
	t.Parallel()
	ffmpeg := program(t, "ffmpeg")
	long := filepath.Join(t.TempDir(), "long.wav")
	if out, err := exec.Command(ffmpeg, "-loglevel", "error", "-stream_loop", "-1", "-i", sample("clean"), "-t", "290", "-ar", "8000", long).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	address, stop := host(t)
	p, end := startPhone(t, t.TempDir())
	defer end()
	p.open(address)
	stop()
	p.enter("bench saw")
	p.visit("/")
	p.choose("clip", long)
	p.act(`d.getElementById("limit").value = "13500"; d.getElementById("measure").click()`)
	p.until(inFrame(`d.getElementById("work-says").textContent`) + ` && (window.before = document.documentElement.dataset.runs)`)
	time.Sleep(2 * time.Second) // so that it measures
	p.act(`d.getElementById("work-stop").click()`)
	p.until(inFrame(`d.getElementById("work-problem").textContent.includes("Stopped")`))
	p.until(`window.before !== document.documentElement.dataset.runs`)
	p.visit("/book")
	if says := p.text("main"); !strings.Contains(says, "bench saw") {
		t.Errorf("the book is another one:\n%s", says)
	}
	p.measure(sample("rich"), "safe side")
	if says := p.seen.all(); says != "" {
		t.Errorf("the browser complains: %s", says)
	}
}

// enter writes a machine into the book.
func (p phone) enter(name string) {
	p.Helper()
	p.visit("/book")
	p.act(fmt.Sprintf(`d.getElementById("name").value = %q; d.getElementById("limit").value = "13500";
		d.querySelector('form[action$="/book"] button').click()`, name))
	p.untilShown(fmt.Sprintf(`d.querySelector("h1")?.textContent.includes(%q)`, name))
}

// TestPhoneEndedWhileWriting ends the program again and again while it writes machines
// into the book, without a warning: every one that was called stored is there.
func TestPhoneEndedWhileWriting(t *testing.T) {
	t.Parallel()
	address, stop := host(t)
	p, end := startPhone(t, t.TempDir())
	defer end()
	stored := 0
	for round := range 4 {
		p.open(address)
		if round == 0 {
			stop()
		}
		// The page around the pages counts what was answered, and goes away in the middle.
		stored += eval[int](p, fmt.Sprintf(`(async () => {
			let stored = 0;
			const w = document.getElementById("pages").contentWindow;
			const until = performance.now() + %d;
			for (let i = 0; performance.now() < until || i < 2; i++) {
				const answer = await w.fetch(new URL("app/api/v1/machines", location.href.split("#")[0]), {
					method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ name: "saw %d " + i }),
				});
				if (answer.status !== 201) throw new Error(await answer.text());
				stored++;
			}
			w.fetch(new URL("app/api/v1/machines", location.href.split("#")[0]), {
				method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ name: "saw %d last" }),
			}).catch(() => {});
			return stored;
		})()`, 150+90*round, round, round))
		if err := p.navigate("about:blank"); err != nil {
			t.Fatal(err)
		}
	}
	p.open(address)
	p.visit("/book")
	_, err := book.ReadExport(bytes.NewReader(p.download(`a[download="topnote-book.sqlite"]`, "topnote-book.sqlite")))
	if err != nil {
		t.Fatal(err)
	}
	if got := eval[int](p, inFrame(`d.querySelectorAll(".list .item").length`)); got < stored || stored < 8 {
		t.Errorf("%d machines are in the book, %d were stored", got, stored)
	}
	t.Logf("%d machines were stored in 4 rounds", stored)
}

// TestPhoneRecords records from the browser's microphone, which plays a sample, and
// measures that, without a network.
func TestPhoneRecords(t *testing.T) {
	t.Parallel()
	address, stop := host(t)
	p, end := startPhone(t, t.TempDir())
	defer end()
	p.open(address)
	stop()
	p.visit("/")
	p.act(`d.getElementById("limit").value = "13500"; d.getElementById("record").click()`)
	p.until(inFrame(`d.getElementById("guide").open`))
	time.Sleep(9 * time.Second) // of the pass
	p.act(`d.getElementById("guide-stop").click()`)
	p.untilShown(`d.querySelector("#track") || d.getElementById("work-problem")?.textContent`)
	if says := p.text("h1"); !strings.Contains(says, "Over the limit") {
		t.Errorf("the headline is %q, with %q", says, p.text("#work-problem"))
	}
}

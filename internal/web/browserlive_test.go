package web

import (
	"encoding/json"
	"math"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// watchLive notes what the live view does, and lets the test close its sockets.
const watchLive = `(() => {
	window.sockets = []; window.late = []; window.warned = ""; window.shown = [];
	const Plain = window.WebSocket;
	window.WebSocket = class extends Plain { constructor(...a) { super(...a); window.sockets.push(this); } };
	new MutationObserver(() => window.late.push(Number(document.getElementById("speed").dataset.late)))
		.observe(document.getElementById("speed"), { attributes: true, attributeFilter: ["data-late"] });
	new MutationObserver(() => { window.warned += document.getElementById("warn").textContent; })
		.observe(document.getElementById("warn"), { childList: true });
	new MutationObserver(() => window.shown.push(document.getElementById("speed").textContent))
		.observe(document.getElementById("speed"), { childList: true });
})()`

// TestLive listens in the page to the browser's microphone: the speed in large figures,
// the warning over the limit, the row of the opening, and how late the figure is. It
// loses its socket on the way.
func TestLive(t *testing.T) {
	t.Parallel()
	url := site(t)
	b := openTab(t, url, 360, 740)
	b.visit("/")
	b.do(chromedp.Click(`a[href="/live"]`))
	b.at("/live")
	b.do(
		chromedp.Evaluate[chromedp.Void](watchLive),
		chromedp.SetValue(chromedp.ID("limit"), "13500"), chromedp.Click(chromedp.ID("listen")),
		chromedp.SetValue(chromedp.ID("note"), "H 1 1/8, new plug"),
	)
	b.until(`/^1[34],\d\d0$/.test(document.getElementById("speed").textContent)`)
	b.shoot("phone-live")
	b.do(chromedp.Evaluate[chromedp.Void](`window.sockets[0].close()`)) // as a network does
	b.until(`window.sockets.length > 1`)
	b.until(`document.querySelectorAll("#row-list tr").length === 1`)
	b.shoot("phone-live-row")
	if row := b.text("#row-list tr"); !strings.Contains(row, "over-limit") || !strings.Contains(row, "14,1") {
		t.Errorf("the row is %q", row)
	}
	if warned := eval[string](b, `window.warned`); !strings.Contains(warned, "Over the limit: let go") {
		t.Errorf("at 14,100 rpm and a limit of 13,500 it warned %q", warned)
	}
	late := eval[[]float64](b, `window.late.filter((v) => !Number.isNaN(v))`)
	if len(late) < 20 {
		t.Fatalf("the figure changed %d times", len(late))
	}
	slices.Sort(late)
	const bar = 600 // ms, of the issue; printed, since other tests run on the same processors
	t.Logf("from the sound at the microphone to the figure: middle %.0f ms, nine in ten within %.0f ms, bar %d ms", late[len(late)/2], late[len(late)*9/10], bar)
	if math.IsInf(late[0], 0) || late[0] < 0 {
		t.Errorf("a figure came %.0f ms before its sound", -late[0])
	}
	b.do(chromedp.Click(chromedp.ID("listen")))
	b.until(`document.getElementById("listen").textContent === "Listen"`)
	// Rows stay and are there once, though the second socket got them anew; no figure
	// stands still.
	numbers := eval[[]string](b, `[...document.querySelectorAll("#row-list th")].map((h) => h.textContent)`)
	if len(numbers) == 0 || len(slices.Compact(slices.Sorted(slices.Values(numbers)))) != len(numbers) {
		t.Errorf("after the end the rows are %v", numbers)
	}
	if eval[bool](b, `document.getElementById("speed").checkVisibility()`) {
		t.Error("after the end a speed is shown")
	}
	keepsSession(t, b, url)
}

// keepsSession saves the session that is over: its rows in the book, with the screws as
// they were noted, and its recording.
func keepsSession(t *testing.T, b tab, url string) {
	t.Helper()
	b.do(chromedp.Click(chromedp.ID("store")))
	b.until(`document.getElementById("keep-says").textContent.startsWith("Choose the machine")`)
	b.do(chromedp.SetValue(chromedp.ID("machine"), "bench saw"), chromedp.Click(chromedp.ID("store")))
	b.until(`document.getElementById("keep-says").textContent.startsWith("In the book of bench saw: row 1")`)
	b.shoot("phone-live-kept")
	answer, err := http.Get(url + "/api/v1/machines/bench%20saw/passes")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	var got struct {
		Passes []struct {
			Screws struct {
				H *float64 `json:"h_turns"`
			} `json:"screws"`
			Report struct {
				TopEnd struct {
					RPM float64 `json:"sustained_rpm"`
				} `json:"top_end"`
			} `json:"report"`
		} `json:"passes"`
	}
	if err := json.NewDecoder(answer.Body).Decode(&got); err != nil {
		t.Fatal(err)
	}
	if len(got.Passes) == 0 || got.Passes[0].Screws.H == nil || *got.Passes[0].Screws.H != 1.125 {
		t.Fatalf("in the book: %+v", got)
	}
	if shown := strings.ReplaceAll(b.text("#row-list tr td"), ",", ""); math.Abs(got.Passes[0].Report.TopEnd.RPM-number(t, shown)) > 20 {
		t.Errorf("the row says %s rpm, the pass %.0f", shown, got.Passes[0].Report.TopEnd.RPM)
	}
	if link := b.text("#recording"); !regexp.MustCompile(`^The recording, [1-9]\d* s$`).MatchString(link) {
		t.Errorf("the link to the recording is %q", link)
	}
	if href := eval[string](b, `document.getElementById("recording").href`); !strings.HasPrefix(href, "blob:") {
		t.Errorf("the recording is at %q", href)
	}
}

// number reads a figure of the page.
func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

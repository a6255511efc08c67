package web

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestWholeJob goes from two recordings to the answer why the machine runs
// otherwise, on a window as wide as a phone and on one of a desk.
func TestWholeJob(t *testing.T) {
	t.Parallel()
	for name, width := range map[string]int64{"phone": 360, "desk": 1440} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if name == "desk" {
				looksOnly(t)
			}
			b := openTab(t, site(t), width, 800)
			j := walk{b, name}
			j.measureFirst()
			j.play()
			j.copyMessage()
			j.store("temp=8 rh=80 altitude=120 h=1")
			j.measureSecond()
			j.compare()
			j.store("temp=31 rh=60 altitude=120 h=1")
			j.askWhy()
			j.askAir()
		})
	}
}

// walk is one run through the pages.
type walk struct {
	tab
	size string
}

// fits holds the page to the width of the window and leaves a picture of it.
func (j walk) fits(page string) {
	j.t.Helper()
	j.shoot(j.size + "-" + page)
	j.tab.fits(page + " on a " + j.size)
}

// says holds an element to what it must say.
func (j walk) says(selector, want string) {
	j.t.Helper()
	if got := j.text(selector); !strings.Contains(got, want) {
		j.t.Errorf("%s says %q, and not %q", selector, got, want)
	}
}

func (j walk) measureFirst() {
	j.visit("/")
	j.fits("new")
	j.measured(sample(j.t, "rich.wav"), "13,500")
	j.fits("result")
	j.says("h1", "Four-stroking, safe side")
	j.says(".held b", "12,7")
	j.says(".margin", "13,500")
	// The verdict and its figure are seen without scrolling.
	if bottom := eval[float64](j.tab, `document.querySelector(".held b").getBoundingClientRect().bottom`); bottom > 640 {
		j.t.Errorf("the figure ends %.0f dots down", bottom)
	}
}

// play plays the sound: the cursor goes with it, and the speed under it is
// shown; a tap into the trace goes elsewhere.
func (j walk) play() {
	j.unfold("trace-part")
	j.do(chromedp.Click(chromedp.ID("play")))
	j.until(`document.getElementById("sound").currentTime > 0.3 && document.getElementById("play").innerText === "Pause"`)
	j.until(`Math.abs(Number(document.getElementById("trace").getAttribute("aria-valuenow")) - document.getElementById("sound").currentTime) < 0.3`)
	j.do(chromedp.Click(chromedp.ID("slow")))
	if rate := eval[float64](j.tab, `document.getElementById("sound").playbackRate`); rate != 0.5 {
		j.t.Errorf("it plays at %.2f of the speed", rate)
	}
	j.do(chromedp.Click(chromedp.ID("play")))
	j.until(`document.getElementById("sound").paused`)
	j.tapTrace(0.45)
	duration := eval[float64](j.tab, `document.getElementById("sound").duration`)
	at := eval[float64](j.tab, `document.getElementById("sound").currentTime`)
	if math.Abs(at-0.45*duration) > 0.03*duration {
		j.t.Errorf("a tap at 0.45 of the trace went to %.2f s of %.2f s", at, duration)
	}
	j.says("#now", "12,6") // beside the half second that was held fastest
	j.says("#now", "full throttle")
	j.tapTrace(0.05)
	j.says("#now", "idle")
}

// tapTrace taps at a share of the trace's width.
func (j walk) tapTrace(share float64) {
	j.do(chromedp.ScrollIntoView(chromedp.ID("trace")))
	type point struct{ X, Y float64 }
	p := eval[point](j.tab, fmt.Sprintf(`(({left, top, width, height}) => ({X: left + %f * width, Y: top + height / 2}))(document.querySelector("#trace svg").getBoundingClientRect())`, share))
	j.do(chromedp.MouseClickXY(p.X, p.Y))
}

func (j walk) copyMessage() {
	j.do(chromedp.Click(chromedp.CSS(`a[href="#message"]`))) // unfolds it
	j.do(chromedp.Click(chromedp.ID("copy")))
	j.until(`document.getElementById("copied").innerText !== ""`)
	if got := eval[string](j.tab, `document.getElementById("message").value`); !strings.Contains(got, "handbook") || !strings.HasPrefix(got, "Hello,") {
		j.t.Errorf("the message: %q", got)
	}
}

// store writes the pass that is shown into the book with what entries name.
func (j walk) store(entries string) {
	j.do(chromedp.Click(chromedp.CSS("#store summary")), chromedp.SetValue(chromedp.CSS("#store select"), "bench saw"))
	for _, entry := range strings.Fields(entries) {
		name, value, _ := strings.Cut(entry, "=")
		if name == "keep" {
			j.do(chromedp.Click(chromedp.CSS("#store input[name=keep]")))
			continue
		}
		j.do(chromedp.SetValue(chromedp.CSS("#store #"+name), value))
	}
	j.do(chromedp.Click(chromedp.CSS("#store button")))
	j.at("/book/")
	j.says(".said", "Saved to the book: pass ")
}

func (j walk) measureSecond() {
	j.measured(sample(j.t, "over.wav"), "13,500")
	j.says("h1", "Over the limit")
	j.fits("over")
}

// compare lays the pass that is shown against the first and listens to both.
func (j walk) compare() {
	second := eval[string](j.tab, `location.pathname`)
	j.do(chromedp.Click(chromedp.CSS(`a[href^="/compare?first="]`)))
	j.at("/compare")
	j.fits("choose")
	j.do(
		chromedp.SetValue(chromedp.ID("second"), eval[string](j.tab, `[...document.getElementById("second").options].find(o => o.text.startsWith("rich.wav")).value`)),
		chromedp.Click(chromedp.CSS("#choose button")),
	)
	j.until(`!!document.querySelector("#trace-1 svg .line-2")`)
	j.fits("comparison")
	j.says("h1", "richer")
	opens := eval[[]float64](j.tab, `JSON.parse(document.getElementById("tracks").textContent).map(p => p.opens)`)
	j.do(chromedp.Click(chromedp.ID("play")))
	j.until(`document.querySelectorAll("audio")[0].currentTime > 0.2`)
	j.do(chromedp.Click(chromedp.ID("hear-2")))
	j.until(`document.querySelectorAll("audio")[0].paused && !document.querySelectorAll("audio")[1].paused`)
	at := eval[[]float64](j.tab, `[...document.querySelectorAll("audio")].map(a => a.currentTime)`)
	if off := (at[1] - opens[1]) - (at[0] - opens[0]); off < -0.1 || off > 1 {
		j.t.Errorf("the second goes on %.2f s beside the place of the first", off)
	}
	j.do(chromedp.Click(chromedp.ID("hear-1")), chromedp.Click(chromedp.ID("hear-2")))
	if moves := eval[int](j.tab, movesIn20Frames); moves < 1 || moves > 21 {
		j.t.Errorf("the cursor is moved %d times in 20 frames", moves)
	}
	j.do(chromedp.Click(chromedp.ID("play")), chromedp.Click(chromedp.CSS(`input[value="apart"]`)))
	j.until(`!!document.querySelector("#trace-2 svg .line-2") && !document.querySelector("#trace-1 svg .line-2")`)
	j.fits("apart")
	j.visit(second)
	j.until(`!!document.querySelector("#trace svg")`)
}

// movesIn20Frames counts how often the cursor of a comparison is moved.
const movesIn20Frames = `new Promise((done) => {
	let moves = 0, frames = 0;
	const seen = new MutationObserver((list) => { moves += list.length; });
	seen.observe(document.getElementById("trace-1"), {attributeFilter: ["aria-valuenow"]});
	const next = () => {
		if (++frames < 20) return requestAnimationFrame(next);
		seen.disconnect();
		done(moves);
	};
	requestAnimationFrame(next);
})`

func (j walk) askWhy() {
	j.fits("machine")
	j.do(chromedp.Click(chromedp.CSS(`form[action$="/why"] button`)))
	j.at("/book/bench%20saw/why")
	j.fits("why")
	j.says("main", "From pass 1 to pass 2")
	j.visit("/book/bench%20saw/p/2")
	j.until(`!!document.querySelector("#trace svg .line-1")`)
	j.says("main", "31 °C")
	j.fits("pass")
	j.visit("/book")
	j.says("main", "bench saw")
	j.fits("book")
}

func (j walk) askAir() {
	j.visit("/air")
	j.do(
		chromedp.SetValue(chromedp.ID("temp"), "5"), chromedp.SetValue(chromedp.ID("rh"), "80"), chromedp.SetValue(chromedp.ID("altitude"), "120"),
		chromedp.SetValue(chromedp.ID("machine"), "bench saw"),
		chromedp.Click(chromedp.CSS("form button")),
	)
	j.until(`location.search.includes("temp=5") && document.readyState === "complete"`)
	j.says(".says", "leaner")
	j.fits("air")
	j.do(chromedp.Click(chromedp.CSS(`input[value="us"]`)))
	if got := eval[string](j.tab, `document.getElementById("temp").value + " " + document.getElementById("altitude").value`); got != "41 394" {
		j.t.Errorf("5 C and 120 m in the fields became %s", got)
	}
	j.until(`document.cookie.includes("units=us")`)
	j.visit("/air")
	j.says(`label[for="temp"]`, "°F")
}

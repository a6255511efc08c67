package web

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// The ways of three people, each through the browser, with pictures for docs/page.md.

// watchGuide notes the words of the guide, the vibrations and the tones, and every touch,
// for after the page has gone.
const watchGuide = `(() => {
	const note = (what, value) => sessionStorage.setItem(what, JSON.stringify([...JSON.parse(sessionStorage.getItem(what) ?? "[]"), value]));
	const word = document.getElementById("guide-step");
	new MutationObserver(() => word.textContent && note("words", word.textContent)).observe(word, { childList: true });
	navigator.vibrate = (pattern) => note("pulses", (pattern.length + 1) / 2);
	const Plain = window.OscillatorNode;
	window.OscillatorNode = class extends Plain { constructor(...a) { super(...a); note("tones", a[1].frequency); } };
	for (const kind of ["pointerdown", "keydown", "scroll"]) addEventListener(kind, () => note("done", kind), true);
})()`

// TestBenchWay is that of somebody at the machine: the machine is chosen; one tap on
// Record, and nothing else, leads through the pass by what is heard of it to the verdict,
// without scrolling.
func TestBenchWay(t *testing.T) {
	t.Parallel()
	b := openTab(t, site(t), 390, 844)
	b.visit("/")
	b.do(chromedp.Click(chromedp.CSS("#machine-tiles button")), chromedp.Evaluate[chromedp.Void](watchGuide), chromedp.Click(chromedp.ID("record")))
	want := []string{"Idle", "Idle heard", "Open", "Hold", "Let go", "Idle again", "Measuring"}
	if os.Getenv("LOOK") != "" { // a step can be over before a busy computer has looked
		for _, word := range []string{"Idle heard", "Let go", "Idle again"} {
			b.until(fmt.Sprintf(`document.getElementById("guide-step").textContent === %q`, word))
			b.window("page-bench-" + strings.ToLower(strings.ReplaceAll(word, " ", "-")))
		}
	}
	b.at("/clips/")
	b.until(`!!document.querySelector("#verdict")`)
	b.window("page-bench-verdict")
	noted := func(what string) []string {
		return eval[[]string](b, fmt.Sprintf(`JSON.parse(sessionStorage.getItem(%q) ?? "[]").map(String)`, what))
	}
	words := noted("words")
	whole := slices.Equal(words, want)
	if !whole && !slices.Equal(onePass(words), want) {
		t.Errorf("the guide said %q", words)
	}
	if got := noted("done"); !slices.Equal(got, []string{"pointerdown"}) {
		t.Errorf("it took %q, and not one tap", got)
	}
	if got := noted("pulses"); whole && !slices.Equal(got, []string{"1", "2", "3", "1", "2"}) {
		t.Errorf("it vibrated %q", got)
	}
	if got := noted("tones"); len(slices.Compact(slices.Clone(got))) != 1 || whole && len(got) != 9 {
		t.Errorf("its tones were of %q Hz", got)
	}
	if says := b.text("h1"); !strings.Contains(says, "Over the limit") {
		t.Errorf("the headline is %q", says)
	}
	for _, part := range []string{"#verdict", ".held b", ".step", ".bar a.main", `.bar a[href="#message"]`} {
		if !eval[bool](b, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return r.top >= 0 && r.bottom <= innerHeight; })()`, part)) {
			t.Errorf("%s is not on the first screen of the verdict", part)
		}
	}
}

// onePass gives the steps of a guide without those of further openings: a browser that
// has too little of a busy computer plays its microphone with gaps, and an opening with a
// gap in it is two.
func onePass(words []string) []string {
	opening := []string{"Hold", "Let go", "Idle again"}
	for i := 0; i+2*len(opening) <= len(words); {
		if next := i + len(opening); slices.Equal(words[i:next], opening) && slices.Equal(words[next:next+len(opening)], opening) {
			words = slices.Delete(slices.Clone(words), i, next)
			continue
		}
		i++
	}
	return words
}

// TestWallWay is that of a trainer: a class hears a pass under a name of its own, writes
// down what it thinks, sees the verdict on the wall, and then hears it at a quarter of
// the speed beside another pass.
func TestWallWay(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 1920, 1080)
	b.visit("/")
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{sample(t, "clean.wav")}), chromedp.SetValue(chromedp.ID("limit"), "13500"),
		chromedp.SetValue(chromedp.ID("name"), "the third"), chromedp.Click(chromedp.ID("hide")), chromedp.Click(chromedp.ID("measure")),
	)
	b.at("/clips/")
	b.until(`document.body.classList.contains("predicting")`)
	seen := eval[string](b, `document.title + " " + document.querySelector("main").innerText`)
	for _, secret := range []string{"Clean", "lean side", "rpm", "13,1"} {
		if strings.Contains(strings.ReplaceAll(seen, "side (lean, safe, rich)", ""), secret) {
			t.Errorf("before it is revealed the page says %q: %s", secret, seen)
		}
	}
	if !strings.Contains(seen, "the third") || strings.Contains(seen, "clean.wav") {
		t.Errorf("it is not called by its name: %s", seen)
	}
	b.do(chromedp.Click(chromedp.ID("play")))
	b.until(`document.getElementById("sound").currentTime > 0.2`)
	b.do(chromedp.SetValue(chromedp.ID("side"), "lean"), chromedp.SetValue(chromedp.ID("turn"), "H out"))
	b.window("page-wall-predict")
	b.do(chromedp.Click(chromedp.ID("reveal")))
	if got := b.text("#verdict"); !strings.Contains(got, "Clean without load") {
		t.Errorf("revealed, it says %q", got)
	}
	b.do(chromedp.Click(chromedp.ID("present")))
	b.until(`document.documentElement.classList.contains("present")`)
	b.until(`document.querySelector("#trace svg").clientWidth > 800`)
	b.window("page-wall-verdict")
	first := strings.TrimPrefix(eval[string](b, `location.pathname`), "/clips/")
	b.visit("/")
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{sample(t, "rich.wav")}), chromedp.SetValue(chromedp.ID("limit"), "13500"),
		chromedp.SetValue(chromedp.ID("name"), "the fourth"), chromedp.Click(chromedp.ID("measure")),
	)
	b.at("/clips/")
	b.until(`!!document.querySelector("#verdict")`)
	b.visit("/compare?first=" + first + "&second=" + strings.TrimPrefix(eval[string](b, `location.pathname`), "/clips/"))
	b.until(`!!document.querySelector("#trace-1 svg .line-2")`)
	if got := b.content("main"); !strings.Contains(got, "the third") || !strings.Contains(got, "the fourth") || strings.Contains(got, ".wav") {
		t.Error("the comparison does not call the passes by their names alone")
	}
	b.do(chromedp.Click(chromedp.ID("slower")), chromedp.Click(chromedp.ID("play")))
	b.until(`document.querySelectorAll("audio")[0].currentTime > 0.1 && document.querySelectorAll("audio")[0].playbackRate === 0.25`)
	b.do(chromedp.Click(chromedp.ID("play")))
	b.window("page-wall-compare")
}

// TestReplyWay is that of an adviser: several recordings that people sent, the most
// dangerous first, and a reply to it on the clipboard after three more taps.
func TestReplyWay(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 390, 844)
	b.visit("/")
	over := excerptFile(t, "over.wav")
	if err := os.Chtimes(over, time.Time{}, time.Date(2026, 3, 2, 14, 30, 0, 0, time.Local)); err != nil {
		t.Fatal(err)
	}
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{sample(t, "rich.wav"), over, sample(t, "birdsong.wav")}),
		chromedp.SetValue(chromedp.ID("limit"), "13 500"), chromedp.Click(chromedp.ID("measure")),
	)
	b.at("/many")
	b.window("page-reply-many")
	b.fits("the table")
	b.do(chromedp.Click(chromedp.CSS(".many tbody a"))) // 1
	b.at("/clips/")
	b.do(
		chromedp.Evaluate[chromedp.Void](`Object.defineProperty(navigator, "clipboard", { value: { writeText: async (text) => { window.copied = text; } } })`),
		chromedp.Click(chromedp.CSS(`.bar a[href="#message"]`)), // 2
	)
	b.until(`document.getElementById("copy").checkVisibility() && !document.getElementById("copy").hidden`)
	b.do(chromedp.Click(chromedp.ID("copy"))) // 3
	b.until(`!!window.copied`)
	b.window("page-reply-message")
	got := eval[string](b, `window.copied`)
	for _, part := range []string{"Hello,", "over.wav of 2 March 2026", "Over the limit", "13,500 rpm", "Do this first: Let the throttle go."} {
		if !strings.Contains(got, part) {
			t.Errorf("the reply lacks %q: %s", part, got)
		}
	}
}

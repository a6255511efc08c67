package web

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestKeptSounds keeps the recordings of two passes in the book, hears and compares them
// from there, goes on from the page of a pass, and deletes one with one press.
func TestKeptSounds(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 390, 844)
	for _, name := range []string{"over.wav", "rich.wav"} {
		b.measured(excerptFile(t, name), "13500")
		b.unfold("store")
		b.do(
			chromedp.SetValue(chromedp.CSS("#store #machine"), "bench saw"), chromedp.SetValue(chromedp.CSS("#store #h"), "1 1/8"),
			chromedp.SetValue(chromedp.CSS("#store #tachometer"), "14 000"),
			chromedp.Click(chromedp.CSS("#store input[name=keep]")), chromedp.Click(chromedp.CSS("#store button.main")),
		)
		b.at("/book/bench%20saw")
	}
	if got := strings.ReplaceAll(b.text(".list"), "\u00a0", " "); strings.Count(got, "H 1 1/8 turns out; with its recording, 64 kB") != 2 {
		t.Errorf("the passes are listed as %q", got)
	}
	b.fits("the machine with two recordings")
	b.shoot("kept-machine")
	b.do(chromedp.Click(chromedp.CSS(`form[action$="/compare"] button`)))
	b.at("/compare")
	b.until(`!!document.querySelector("#trace-1 svg .line-2")`)
	if got := b.content("main"); !strings.Contains(got, "Pass 1 of bench saw") || !strings.Contains(got, "Pass 2 of bench saw") {
		t.Error("the comparison does not name the passes")
	}
	b.leadsOn()
}

// leadsOn goes on from the page of a pass whose recording the book keeps.
func (b tab) leadsOn() {
	t := b.t
	t.Helper()
	b.visit("/book/bench%20saw/p/1")
	b.fits("a pass of the book")
	b.shoot("kept-pass")
	if heard := eval[float64](b, `new Promise((done) => { const s = document.getElementById("sound"); s.readyState ? done(s.duration) : s.onloadedmetadata = () => done(s.duration); })`); heard < 3.9 || heard > 4.1 {
		t.Errorf("the recording that was kept lasts %.1f s", heard)
	}
	if got := b.content("#noted"); !strings.Contains(got, "14,000\u00a0rpm, 130\u00a0rpm below that read from the sound") {
		t.Errorf("the reading of the tachometer is noted as %q", got)
	}
	for _, leads := range []string{`a[href="#message"]`, `a[href="/book/bench%20saw#compare"]`, `a[href="/book/bench%20saw/p/1/sheet"]`, `a[href="/book/bench%20saw"]`, `a[href^="/?machine="]`} {
		if !eval[bool](b, fmt.Sprintf(`!!document.querySelector('main %s')`, leads)) {
			t.Errorf("the page of a pass does not lead on to %s", leads)
		}
	}
	if got := b.content("#message"); !strings.Contains(got, "About bench saw") || !strings.Contains(got, "Over the limit") {
		t.Errorf("its reply is %q", got)
	}
	b.do(chromedp.Click(chromedp.CSS(`form[action$="/again"] button`)))
	b.at("/clips/")
	b.until(`!!document.querySelector("#verdict")`)
	if got := b.text("h1"); !strings.Contains(got, "Over the limit") {
		t.Errorf("measured again it is %q", got)
	}
	b.visit("/book/bench%20saw/p/1")
	b.do(chromedp.Click(chromedp.CSS(`form[action$="/forget"] button`)))
	b.until(`document.querySelector(".said")?.innerText.startsWith("The recording is deleted.")`)
	if eval[bool](b, `!!document.getElementById("sound")`) {
		t.Error("a deleted recording can still be played")
	}
	b.visit("/book/bench%20saw/p/1/sheet")
	b.fits("the sheet of a pass")
}

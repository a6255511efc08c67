package web

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// brokenNumbers gives the figures of a page that are broken over two lines, with all of
// it unfolded.
const brokenNumbers = `(() => {
	for (const part of document.querySelectorAll("details")) part.open = true;
	const broken = [], texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let text = texts.nextNode(); text; text = texts.nextNode()) {
		if (text.parentElement.closest("script, svg, textarea, option") || /^[0-9a-f]{64}$/.test(text.data)) continue;
		for (const found of text.data.matchAll(/\d[\d,.]*\d/g)) {
			const range = document.createRange();
			range.setStart(text, found.index);
			range.setEnd(text, found.index + found[0].length);
			if (new Set([...range.getClientRects()].map((r) => Math.round(r.top))).size > 1) broken.push(found[0]);
		}
	}
	return broken.join(" ");
})()`

// TestFirstScreen: on a phone the first screen of a result has the verdict, the top
// speed, the next step, a caution, and the buttons for the next pass and the reply,
// without scrolling; at no width is a figure broken or the page too wide.
func TestFirstScreen(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 390, 844)
	for _, tt := range []struct{ sample, limit string }{
		{"rich.wav", "13500"}, {"clean.wav", "13500"}, {"over.wav", "13500"}, {"high-idle.wav", "13500"}, {"weak-phone.wav", "13500"}, {"rich.wav", ""},
	} {
		b.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(1), chromedp.EmulateMobile, chromedp.EmulateTouch))
		b.visit("/")
		b.do(chromedp.SetUploadFiles(chromedp.ID("clip"), []string{sample(t, tt.sample)}))
		for id, value := range map[string]string{"limit": tt.limit, "idle": "2800", "clutch": "3700"} {
			b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("` + id + `").value = "` + value + `"`))
		}
		b.do(chromedp.Click(chromedp.ID("measure")))
		b.at("/clips/")
		b.until(`!!document.querySelector("#verdict")`)
		below := eval[string](b, `["#verdict", ".held b", ".margin", ".step", ".care", '.bar a[href^="/?"]', '.bar a[href="#message"]'].filter((selector) => {
			const place = document.querySelector(selector)?.getBoundingClientRect();
			return !place || place.top < 0 || place.bottom > innerHeight || place.right > innerWidth;
		}).join(", ")`)
		if below != "" {
			t.Errorf("%s, limit %q: the first screen lacks %s\n%s", tt.sample, tt.limit, below, b.state())
		}
		if covered := eval[bool](b, `document.querySelector(".care").getBoundingClientRect().bottom > document.querySelector(".bar").getBoundingClientRect().top`); covered {
			t.Errorf("%s, limit %q: the buttons cover the caution", tt.sample, tt.limit)
		}
		b.window("first-" + tt.sample + tt.limit)
		for _, width := range []int64{320, 390, 768, 1440, 2560} {
			b.do(chromedp.EmulateViewport(width, 900, chromedp.EmulateScale(1)))
			if broken := eval[string](b, brokenNumbers); broken != "" {
				t.Errorf("%s at %d pixels: broken figures: %s", tt.sample, width, broken)
			}
			b.fits(tt.sample)
		}
	}
}

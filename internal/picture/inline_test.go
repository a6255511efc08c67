package picture

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"

	"topnote/internal/report"
)

// TestInline: the picture for a page is well-formed, has a title, and a
// description with the phases and the limit; no headline, no paper, no colour that
// the page cannot set.
func TestInline(t *testing.T) {
	r := looks()[0].report
	r.Clip.File = "a<b>&.wav"
	var b bytes.Buffer
	if err := Inline(&b, r, mapOf(r)); err != nil {
		t.Fatal(err)
	}
	svg := b.String()
	read := words(t, b.Bytes())
	if read[0] != headline(r) || strings.Count(strings.Join(read, "\n"), headline(r)) != 1 {
		t.Errorf("the headline is not the title alone: %q", read)
	}
	for _, want := range []string{
		`<svg viewBox="0 0 `, `role="img" aria-labelledby="pass-title" aria-describedby="pass-desc"`,
		"From 2.4 s to 7.0 s full throttle.", "From 0.0 s to 2.0 s idle at about 2,750 rpm.", "The limit is drawn at 13,500 rpm.",
		"stroke:var(--limit,#B02414)", "stroke:var(--speed,#104682)", "fill:var(--soft-ink,#586069)", "data:image/png;",
	} {
		if !strings.Contains(svg, want) {
			t.Errorf("the picture lacks %q", want)
		}
	}
	if rest := regexp.MustCompile(`(?:fill|stroke):#[^"; ]*`).FindAllString(svg, -1); len(rest) > 0 {
		t.Errorf("colours that no page can set: %q", rest)
	}
	if strings.Contains(svg, "<?xml") || strings.Contains(svg, "DOCTYPE") {
		t.Error("it begins as a file of its own")
	}
}

// TestInlineComparison: the same for passes side by side.
func TestInlineComparison(t *testing.T) {
	for n := 2; n <= 3; n++ {
		c := sideBySide(n)
		c.Passes[0].Report.Clip.File = "a<b>&.wav"
		var b bytes.Buffer
		if err := InlineComparison(&b, c); err != nil {
			t.Fatal(err)
		}
		if read := words(t, b.Bytes()); read[0] != report.ComparisonHeadline(c) {
			t.Errorf("titled %q", read[0])
		}
		if want := fmt.Sprintf("%d ", n); !strings.Contains(b.String(), want) || !strings.Contains(b.String(), "1 a&lt;b&gt;&amp;.wav: 1") {
			t.Errorf("the description does not name pass %d", n)
		}
		if rest := regexp.MustCompile(`(?:fill|stroke):#[^"; ]*`).FindAllString(b.String(), -1); len(rest) > 0 {
			t.Errorf("colours that no page can set: %q", rest)
		}
	}
}

// TestProperties: no two colours are so close that they could be mistaken for
// one another.
func TestProperties(t *testing.T) {
	all := Properties()
	for a, ca := range all {
		for b, cb := range all {
			if a != b && isColour(fmt.Sprintf("#%02X%02X%02X", ca.R, ca.G, ca.B), cb) {
				t.Errorf("%s passes for %s", a, b)
			}
		}
	}
}

// TestInlineLegible: no letters in a page's picture are so small that a phone of
// 352 dots across shows them below 9 px, the least for a drawing's labels
// (common practice).
func TestInlineLegible(t *testing.T) {
	const least = 9 * inlineWidth / 352
	var pictures [2]bytes.Buffer
	for i := range pictures {
		if err := InlineComparison(&pictures[i], sideBySide(i+2)); err != nil {
			t.Fatal(err)
		}
	}
	size := regexp.MustCompile(`font-size:([\d.]+)px`)
	for i := range pictures {
		sizes := size.FindAllSubmatch(pictures[i].Bytes(), -1)
		if len(sizes) < 10 {
			t.Fatalf("%d sizes of letters", len(sizes))
		}
		for _, m := range sizes {
			if px, err := strconv.ParseFloat(string(m[1]), 64); err != nil || vg.Length(px) < least {
				t.Errorf("%d passes: %s (%v), want at least %.1f", i+2, m[0], err, least)
			}
		}
	}
}

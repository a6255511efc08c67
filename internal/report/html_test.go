package report_test

import (
	"bytes"
	"errors"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/quality"
	"topnote/internal/report"
)

// drawing takes the place of the picture, which package picture tests.
const drawing = `<svg viewBox="0 0 1 1" role="img" aria-labelledby="pass-title"><title id="pass-title">Drawing</title></svg>`

func asHTML(t testing.TB, r report.Report) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.WriteHTML(&b, r, []byte(drawing)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func asComparisonHTML(t testing.TB, c report.Comparison) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.WriteComparisonHTML(&b, c, []byte(drawing)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// inStyle is the style sheet within a page, which is the same in every page and
// is left out of the golden files.
var inStyle = regexp.MustCompile(`(?s)<style>.*</style>`)

func TestGoldenHTML(t *testing.T) {
	for name, page := range map[string]string{
		"over-limit.html": asHTML(t, report.New(madeParts())),
		"no-engine.html":  asHTML(t, report.New(bare())),
		"comparison.html": asComparisonHTML(t, compared()),
	} {
		golden(t, name, []byte(inStyle.ReplaceAllString(page, "<style></style>")))
	}
}

var (
	htmlTag  = regexp.MustCompile(`<[^>]*>`)
	htmlID   = regexp.MustCompile(` id="([^"]*)"`)
	htmlRefs = regexp.MustCompile(` aria-(?:labelledby|describedby)="([^"]*)"`)
	htmlHead = regexp.MustCompile(`<h([1-6])[ >]`)
)

// TestHTMLSound holds a page to what assistive technology needs and to what it
// must not have.
//
// Source: HTML Living Standard (unique ids, scope of table headers), WCAG 2.2
// success criteria 1.1.1, 1.3.1, 2.4.2, 2.4.6, 3.1.1.
func TestHTMLSound(t *testing.T) {
	for name, page := range map[string]string{
		"a pass": asHTML(t, report.New(madeParts())), "nothing": asHTML(t, report.New(bare())), "a comparison": asComparisonHTML(t, compared()),
	} {
		for _, want := range []string{
			"<!DOCTYPE html>\n<html lang=\"en\">", `<meta charset="utf-8">`, `name="viewport"`, "<title>", "<header>", "<main>", "</main>", "<footer>",
			`default-src 'none'`, "@media print", "prefers-color-scheme: dark", "handbook and local rules come first",
		} {
			if !strings.Contains(page, want) {
				t.Errorf("%s lacks %q", name, want)
			}
		}
		if bad := regexp.MustCompile(`(?i)<script|javascript:|https?://|@import|<link|<iframe| on[a-z]+=|url\(`).FindString(page); bad != "" {
			t.Errorf("%s has %q", name, bad)
		}
		ids := map[string]bool{}
		for _, m := range htmlID.FindAllStringSubmatch(page, -1) {
			if ids[m[1]] {
				t.Errorf("%s has the id %q twice", name, m[1])
			}
			ids[m[1]] = true
		}
		for _, m := range htmlRefs.FindAllStringSubmatch(page, -1) {
			if !ids[m[1]] {
				t.Errorf("%s refers to %q, which is not there", name, m[1])
			}
		}
		level := 0
		for _, m := range htmlHead.FindAllStringSubmatch(page, -1) {
			next := int(m[1][0] - '0')
			if next > level+1 || next == 1 && level != 0 {
				t.Errorf("%s goes from heading %d to heading %d", name, level, next)
			}
			level = next
		}
		for _, tag := range htmlTag.FindAllString(page, -1) {
			if (strings.HasPrefix(tag, "<th ") || tag == "<th>") && !strings.Contains(tag, " scope=") {
				t.Errorf("%s has a table header without scope", name)
			}
		}
		if tables := strings.Count(page, "<table"); strings.Count(page, "<caption>") != tables || tables == 0 {
			t.Errorf("%s has %d tables and not as many captions", name, tables)
		}
	}
}

// TestHTMLOpens: the verdict comes first, then its figure against the limit,
// then the picture, the findings, what to do, the problems, the
// cautions, the figures, and the recording.
func TestHTMLOpens(t *testing.T) {
	page := asHTML(t, report.New(madeParts()))
	at := -1
	for _, want := range []string{
		"Over the limit</h1>", "Held 13,842 rpm at full throttle", "<b>13,840</b> rpm", "± 60 rpm (95 %)", "<b>13,500</b> rpm", "<b>340</b> rpm", "2.5 % of the limit",
		"<svg viewBox=\"0 0 1 1\"", "On the way back it hung", "L screw too lean; air leak", "Richen the H screw", "Wind blows over", "local rules come first", "At full throttle", "pcm_s16",
	} {
		next := strings.Index(page[at+1:], want)
		if next < 0 {
			t.Fatalf("%q is missing, or stands before what it should follow", want)
		}
		at += 1 + next
	}
}

// TestHTMLEscapes: whatever text a file brings in, the page has the same tags
// as with plain words.
func TestHTMLEscapes(t *testing.T) {
	with := func(text string) string {
		p := madeParts()
		p.Clip.File, p.Clip.Container, p.Clip.Codec, p.Clip.Used = text, text, text, text
		p.Clip.Remarks = []string{text}
		p.Quality.Problems = []quality.Problem{{Code: quality.Code(text), Says: text, Do: text}}
		p.Verdict.Says = text
		p.Verdict.Findings[0].Causes[0] = text
		r := report.New(p)
		return asHTML(t, r) + asComparisonHTML(t, report.Comparison{Passes: []report.ComparedPass{{Report: r}}, Pairs: []report.Pair{{Pass: 2, Says: text}}})
	}
	tags := func(page string) []string { return htmlTag.FindAllString(inStyle.ReplaceAllString(page, ""), -1) }
	want := tags(with("words"))
	hostile := rapid.SampledFrom([]string{
		"<script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "</style><script>", "</title><b>", "' onload='x", "{{.}}", "<!--", "]]>", "javascript:x", "&lt;",
	})
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.OneOf(hostile, rapid.String()).Draw(rt, "text")
		if got := tags(with(text)); !slices.Equal(got, want) {
			rt.Fatalf("with %q the page has other tags", text)
		}
	})
}

func TestHTMLWriteErrors(t *testing.T) {
	if err := report.WriteHTML(full{}, report.New(madeParts()), nil); !errors.Is(err, errFull) {
		t.Errorf("a full disk gives %v", err)
	}
	if err := report.WriteComparisonHTML(full{}, compared(), nil); !errors.Is(err, errFull) {
		t.Errorf("a full disk gives %v", err)
	}
}

// TestPageContrast holds the colours of the pages, light and dark, to a contrast
// of 4.5 to 1 against their ground.
//
// Source: WCAG 2.2, success criterion 1.4.3 and the definition of relative
// luminance.
func TestPageContrast(t *testing.T) {
	css, err := os.ReadFile(filepath.Join("page", "style.css"))
	if err != nil {
		t.Fatal(err)
	}
	light, dark, found := strings.Cut(string(css), "@media screen and (prefers-color-scheme: dark)")
	if !found {
		t.Fatal("there is no dark palette")
	}
	for name, text := range map[string]string{"light": light, "dark": dark} {
		colours := map[string]color.NRGBA{}
		for _, m := range regexp.MustCompile(`(--[a-z-]+): #([0-9a-f]{6});`).FindAllStringSubmatch(text, -1) {
			v, err := strconv.ParseUint(m[2], 16, 32)
			if err != nil {
				t.Fatal(err)
			}
			colours[m[1]] = color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 255}
		}
		for _, c := range []string{"--ink", "--soft-ink", "--speed", "--limit", "--burble", "--second", "--third"} {
			if got := contrast(colours["--paper"], colours[c]); got < 4.5 {
				t.Errorf("%s: %s has a contrast of %.2f, want 4.5", name, c, got)
			}
		}
	}
}

func contrast(a, b color.NRGBA) float64 {
	luminance := func(c color.NRGBA) float64 {
		linear := func(v uint8) float64 {
			s := float64(v) / 255
			if s <= 0.04045 {
				return s / 12.92
			}
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	}
	light, dark := max(luminance(a), luminance(b)), min(luminance(a), luminance(b))
	return (light + 0.05) / (dark + 0.05)
}

package picture

import (
	"bytes"
	"fmt"
	"image/color"
	"io"
	"regexp"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"topnote/internal/report"
	"topnote/internal/spectrum"
)

// The size of a picture within a page. It is as narrow as a phone, so that its
// words are legible there; wider pages enlarge it.
const (
	inlineWidth  = 10.5 * vg.Centimeter
	inlineHeight = 11 * vg.Centimeter
)

// Inline writes the picture of one pass as an SVG element for a page of HTML:
// without headline and footer, which the page has; with a title and a description
// for screen readers; and with colours that the page can set. Each colour is a
// custom property of CSS, --paper, --ink and so on, with a default; the
// spectrogram is black of varying opacity, which a filter can invert. It returns
// the error of w.
func Inline(w io.Writer, r report.Report, m spectrum.Spectrogram) error {
	return inline(w, inlineHeight, altText{"pass", headline(r), describe(r)}, func(c draw.Canvas) { composeBody(c, r, m) })
}

// InlineComparison is Inline for passes side by side.
func InlineComparison(w io.Writer, c report.Comparison) error {
	const traces, orders = 9.5 * vg.Centimeter, ordersCM * vg.Centimeter
	height := traces + vg.Length(len(c.Passes))*orders
	words := altText{"passes", report.ComparisonHeadline(c), describeComparison(c)}
	return inline(w, height, words, func(canvas draw.Canvas) { composeComparisonBody(canvas, c) })
}

// altText describes a picture to a screen reader; id is unique in a page.
type altText struct{ id, title, description string }

func inline(w io.Writer, height vg.Length, words altText, compose func(draw.Canvas)) error {
	canvas := vgsvg.New(inlineWidth, height)
	const edge = 2 // room for half the width of a stroke
	compose(draw.Crop(draw.New(canvas), edge, -edge, edge, -edge))
	var b bytes.Buffer
	if err := writeSVG(&b, canvas, ""); err != nil {
		return err
	}
	_, drawing, _ := strings.Cut(b.String(), "</title>")
	_, err := fmt.Fprintf(w, `<svg viewBox="0 0 %.2f %.2f" role="img" aria-labelledby="%[3]s-title" aria-describedby="%[3]s-desc">`+
		"\n<title id=\"%[3]s-title\">%[4]s</title>\n<desc id=\"%[3]s-desc\">%[5]s</desc>%[6]s",
		inlineWidth.Points(), height.Points(), words.id, escape(words.title), escape(words.description), withProperties(drawing))
	if err != nil {
		return fmt.Errorf("picture: writing SVG: %w", err)
	}
	return nil
}

// Properties gives the names of the custom properties that a page with one of
// these pictures can set, with their defaults.
func Properties() map[string]color.NRGBA {
	return map[string]color.NRGBA{
		"--paper": paper, "--ink": ink, "--soft-ink": softInk, "--hairline": hairline, "--odd": opaque(oddTint),
		"--speed": speedInk, "--limit": limitInk, "--burble": fourStrokeInk, "--second": secondInk, "--second-line": secondLine, "--third": thirdInk,
	}
}

func opaque(c color.NRGBA) color.NRGBA {
	c.A = 255
	return c
}

var paintAttribute = regexp.MustCompile(`(fill|stroke):(#[0-9A-F]{6})`)

// withProperties replaces colours by their custom properties.
func withProperties(svg string) string {
	return paintAttribute.ReplaceAllStringFunc(svg, func(found string) string {
		what, hex, _ := strings.Cut(found, ":")
		for name, c := range Properties() {
			if isColour(hex, c) {
				return fmt.Sprintf("%s:var(%s,%s)", what, name, hex)
			}
		}
		return found
	})
}

// isColour reports whether a colour of an SVG is c; one with opacity may be rounded
// to the next step.
func isColour(hex string, c color.NRGBA) bool {
	v, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil {
		return false
	}
	near := func(a uint64, b uint8) bool { return a+1 >= uint64(b) && a <= uint64(b)+1 }
	return near(v>>16&0xff, c.R) && near(v>>8&0xff, c.G) && near(v&0xff, c.B)
}

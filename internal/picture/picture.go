// Package picture draws a measurement so that it can be checked by eye.
//
// The picture of a pass has two panels over one time axis. The upper one has the
// result: the shaft speed with its 95 % band, the limit, the phases, and where the
// engine four-strokes. The lower one has the evidence: the spectrogram of the
// sound, darker where it is louder, with the measured speed drawn over it. Both
// axes are in revolutions per minute, so a speed in the upper panel has its line at
// the same number in the lower one, and lines at its half and its multiples.
// Colour never carries meaning alone: the limit is dashed and named, four-stroking
// is hatched and named, a missing speed is a gap. Start with Draw. The package
// draws a report and measures nothing.
package picture

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"

	"topnote/internal/report"
	"topnote/internal/spectrum"
)

// Format is a kind of picture file.
type Format string

// The formats that Draw writes.
const (
	PNG Format = "png"
	SVG Format = "svg"
)

// Size is the size of a picture on paper.
type Size struct {
	WidthCM, HeightCM float64
}

// DefaultSize fits the width of an A4 or Letter page with its margins.
var DefaultSize = Size{WidthCM: 18, HeightCM: 13}

// The sizes that Draw accepts: smaller ones have no room for the words, larger
// ones take too much memory as PNG.
const (
	minWidthCM, maxWidthCM   = 14, 60
	minHeightCM, maxHeightCM = 10, 40
)

// ErrSize says that a picture cannot be drawn at the wanted size.
var ErrSize = fmt.Errorf("picture: a picture is %d to %d cm wide and %d to %d cm high",
	minWidthCM, maxWidthCM, minHeightCM, maxHeightCM)

// ErrFormat says that a picture cannot be drawn in the wanted format.
var ErrFormat = errors.New("picture: a picture is png or svg")

// Check returns ErrSize unless Draw can draw at this size.
func (s Size) Check() error {
	if s.WidthCM >= minWidthCM && s.WidthCM <= maxWidthCM && s.HeightCM >= minHeightCM && s.HeightCM <= maxHeightCM {
		return nil
	}
	return ErrSize
}

// Draw writes the picture of one pass to w: r in the upper panel, the spectrogram
// m of its sound in the lower one. A spectrogram without columns leaves the lower
// panel empty. It returns ErrFormat, ErrSize or the error of w.
func Draw(w io.Writer, f Format, s Size, r report.Report, m spectrum.Spectrogram) error {
	return write(w, f, s, headline(r), func(sheet draw.Canvas) { compose(sheet, r, m) })
}

// write draws a sheet and writes it to w in the wanted format.
func write(w io.Writer, f Format, s Size, title string, compose func(draw.Canvas)) error {
	if err := s.Check(); err != nil {
		return err
	}
	width, height := vg.Length(s.WidthCM)*vg.Centimeter, vg.Length(s.HeightCM)*vg.Centimeter
	switch f {
	case PNG:
		c := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(dotsPerInch))
		compose(draw.New(c))
		if _, err := (vgimg.PngCanvas{Canvas: c}).WriteTo(w); err != nil {
			return fmt.Errorf("picture: writing PNG: %w", err)
		}
		return nil
	case SVG:
		c := vgsvg.New(width, height)
		compose(draw.New(c))
		return writeSVG(w, c, title)
	default:
		return fmt.Errorf("%w; not %q", ErrFormat, string(f))
	}
}

// writeSVG writes the drawing and adds what the library leaves out: the true type
// of the embedded image, that it may be stretched, fonts to fall back to, and a
// title for screen readers.
func writeSVG(w io.Writer, c *vgsvg.Canvas, title string) error {
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return fmt.Errorf("picture: writing SVG: %w", err)
	}
	corrections := strings.NewReplacer(
		"data:image/jpg;", "data:image/png;",
		"<image ", `<image preserveAspectRatio="none" `,
		"font-family:Liberation Sans;", "font-family:'Liberation Sans',Arial,Helvetica,sans-serif;",
		`xmlns:xlink="http://www.w3.org/1999/xlink">`,
		`xmlns:xlink="http://www.w3.org/1999/xlink" role="img">`+"\n<title>"+escape(title)+"</title>",
	)
	if _, err := corrections.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("picture: writing SVG: %w", err)
	}
	return nil
}

func escape(text string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(text)
}

// compose draws the sheet: headline, legend, speed, spectrogram, footer.
func compose(c draw.Canvas, r report.Report, m spectrum.Spectrogram) {
	c.FillPolygon(paper, corners(c.Rectangle))
	sheet := draw.Crop(c, sheetMargin, -sheetMargin, sheetMargin, -sheetMargin)
	top := drawHeadline(sheet, headline(r))
	bottom := drawFooter(sheet, saysFile(r.Clip))
	composeBody(draw.Crop(sheet, 0, 0, bottom, -top), r, m)
}

// composeBody draws legend, speed and spectrogram.
func composeBody(c draw.Canvas, r report.Report, m spectrum.Spectrogram) {
	body := draw.Crop(c, 0, -rightMargin, 0, -drawLegend(c, passLegend(r)))
	height := body.Max.Y - body.Min.Y
	lowerHeight := height * spectrogramShare
	caption := textStyle(labelSize, softInk, draw.XLeft, draw.YTop)
	c.FillText(caption, vg.Point{X: body.Min.X, Y: body.Min.Y + lowerHeight}, capSpectrogram)
	drawAligned(
		panel{speedPanel(r), draw.Crop(body, 0, 0, lowerHeight+panelGap, 0)},
		panel{spectrogramPanel(r, m), draw.Crop(body, 0, 0, 0, lowerHeight-height-captionHeight)})
}

// panel is a plot and its place on the sheet.
type panel struct {
	p *plot.Plot
	c draw.Canvas
}

// left and right give the width of the words beside the plot.
func (x panel) left() vg.Length  { return x.p.DataCanvas(x.c).Min.X - x.c.Min.X }
func (x panel) right() vg.Length { return x.c.Max.X - x.p.DataCanvas(x.c).Max.X }

// drawAligned draws panels with their x axes aligned.
func drawAligned(panels ...panel) {
	var left, right vg.Length
	for _, x := range panels {
		left, right = max(left, x.left()), max(right, x.right())
	}
	for _, x := range panels {
		x.p.Draw(draw.Crop(x.c, left-x.left(), x.right()-right, 0, 0))
	}
}

func corners(r vg.Rectangle) []vg.Point {
	return []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}}
}

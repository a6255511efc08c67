package picture

import (
	"image/color"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// The palette: few colours, far apart in lightness, so that they also differ in
// grey and to colour-blind readers. TestContrast requires 4.5 to 1 against the
// paper for those of words and lines.
var (
	paper         = color.NRGBA{R: 255, G: 255, B: 255, A: 255}
	ink           = color.NRGBA{R: 28, G: 33, B: 38, A: 255}
	softInk       = color.NRGBA{R: 88, G: 96, B: 105, A: 255}
	hairline      = color.NRGBA{R: 205, G: 210, B: 215, A: 255}
	speedInk      = color.NRGBA{R: 16, G: 70, B: 130, A: 255}
	speedBandTint = color.NRGBA{R: 16, G: 70, B: 130, A: 60} // the band of two sd
	limitInk      = color.NRGBA{R: 176, G: 36, B: 20, A: 255}
	overTint      = color.NRGBA{R: 176, G: 36, B: 20, A: 22} // area above the limit
	fourStrokeInk = color.NRGBA{R: 122, G: 82, B: 0, A: 255} // four-stroking
	oddTint       = color.NRGBA{R: 30, G: 45, B: 60, A: 16}  // every second phase

	secondInk  = color.NRGBA{R: 140, G: 45, B: 115, A: 255} // the second pass of a comparison
	secondLine = color.NRGBA{R: 194, G: 85, B: 159, A: 255} // its line: lighter than the first, so that the two differ in grey as well
	thirdInk   = color.NRGBA{R: 0, G: 104, B: 78, A: 255}   // the third
)

// Lengths of the layout.
const (
	dotsPerInch      = 200
	sheetMargin      = 0.35 * vg.Centimeter
	rightMargin      = 1.75 * vg.Centimeter // for the limit and the orders
	panelGap         = 0.25 * vg.Centimeter
	captionHeight    = 0.55 * vg.Centimeter
	spectrogramShare = 0.42 // of the height of both panels, for the lower one
	firingStrip      = 0.45 * vg.Centimeter
	hatchStep        = 0.13 * vg.Centimeter
)

// Sizes of letters.
const (
	headlineSize = 14
	labelSize    = 10
	smallSize    = 8.5
)

var sans = font.Font{Typeface: "Liberation", Variant: "Sans"}

// textStyle gives a text style of the one typeface.
func textStyle(size vg.Length, c color.Color, x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{
		Color: c, Font: font.From(sans, size),
		XAlign: x, YAlign: y, Handler: plot.DefaultTextHandler,
	}
}

// bold makes a style bold.
func bold(s text.Style) text.Style {
	s.Font.Weight = xfont.WeightBold
	return s
}

// line gives a line style; width and dashes are in points.
func line(width vg.Length, c color.Color, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: c, Width: width, Dashes: dashes}
}

// shortest is the shortest time axis, in seconds: one of length 0 has no scale.
const shortest = 0.1

// newPanel gives an empty plot in our typeface, from 0 to end seconds.
func newPanel(end float64) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil // the sheet or the page shows through
	p.X.Min, p.X.Max = 0, max(end, shortest)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font = font.From(sans, labelSize)
		a.Label.TextStyle.Color = softInk
		a.Label.Padding = 2
		a.Tick.Label.Font = font.From(sans, labelSize)
		a.Tick.Label.Color = ink
		a.LineStyle = line(0.7, softInk)
		a.Tick.LineStyle = line(0.7, softInk)
		a.Tick.Length = 3
		a.Padding = 0
	}
	p.X.Tick.Marker = secondsTicks{parts: 10}
	return p
}

package picture

import (
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/report"
)

// drawHeadline writes the headline at the top of the sheet and gives its height.
func drawHeadline(c draw.Canvas, words string) vg.Length {
	head := fitted(bold(textStyle(headlineSize, ink, draw.XLeft, draw.YTop)), words, c.Max.X-c.Min.X)
	c.FillText(head, vg.Point{X: c.Min.X, Y: c.Max.Y}, words)
	return headlineSize * 1.45
}

// drawLegend draws the legend at the top of the sheet, in as many rows as its
// width needs, and gives its height.
func drawLegend(c draw.Canvas, keys []legendEntry) vg.Length {
	words := textStyle(labelSize, ink, draw.XLeft, draw.YCenter)
	x, row := c.Min.X, c.Max.Y-labelSize*0.6
	for _, k := range keys {
		width := legendWidth + legendGap + words.Width(k.words)
		if x > c.Min.X && x+width > c.Max.X {
			x, row = c.Min.X, row-labelSize*1.4
		}
		k.draw(c, vg.Rectangle{
			Min: vg.Point{X: x, Y: row - legendHeight/2},
			Max: vg.Point{X: x + legendWidth, Y: row + legendHeight/2},
		})
		c.FillText(words, vg.Point{X: x + legendWidth + legendGap, Y: row}, k.words)
		x += width + 3*legendGap
	}
	return c.Max.Y - row + labelSize
}

// Sizes of the samples of the legend.
const (
	legendWidth  = 0.75 * vg.Centimeter
	legendHeight = 0.28 * vg.Centimeter
	legendGap    = 0.15 * vg.Centimeter
)

// legendEntry is a sample of a mark and what it means.
type legendEntry struct {
	words string
	draw  func(draw.Canvas, vg.Rectangle)
}

// passLegend gives the legend of the marks that the picture of r has.
func passLegend(r report.Report) []legendEntry {
	var told, burbles, clean, unknown bool
	for _, p := range r.Track {
		told = told || p.RPM.Told()
		burbles = burbles || p.FiresEveryRev > 1
		clean = clean || p.FiresEveryRev == 1
		unknown = unknown || p.RPM.Told() && p.FiresEveryRev == 0
	}
	var list []legendEntry
	if told {
		list = append(list, legendEntry{legendSpeed, sampleOfSpeed})
	}
	if burbles {
		list = append(list, legendEntry{legendFourStroking, hatchedBox})
	}
	if clean {
		list = append(list, legendEntry{legendFiring(r.Engine), plainBox})
	}
	if unknown {
		list = append(list, legendEntry{legendNotTold, emptyBox})
	}
	return list
}

func sampleOfSpeed(c draw.Canvas, box vg.Rectangle) {
	middle := (box.Min.Y + box.Max.Y) / 2
	c.FillPolygon(speedBandTint, corners(box))
	c.StrokeLine2(line(1.4, speedInk), box.Min.X, middle, box.Max.X, middle)
}

// drawFooter writes the caution and what is drawn at the foot of the sheet, and
// gives their height.
func drawFooter(c draw.Canvas, what string) vg.Length {
	style := fitted(textStyle(smallSize, softInk, draw.XLeft, draw.YBottom), footer+" "+what, c.Max.X-c.Min.X)
	c.FillText(style, c.Min, footer)
	style.XAlign = draw.XRight
	c.FillText(style, vg.Point{X: c.Max.X, Y: c.Min.Y}, what)
	return smallSize * 1.7
}

// fitted gives a style small enough for its words to fit a width.
func fitted(s text.Style, words string, width vg.Length) text.Style {
	if w := s.Width(words); w > width {
		s.Font.Size *= width / w
	}
	return s
}

package picture

import (
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/report"
)

// drawHeader writes the headline and the key at the top
// of the sheet and gives the height that they take.
func drawHeader(c draw.Canvas, r report.Report) vg.Length {
	width := c.Max.X - c.Min.X
	y := c.Max.Y
	head := fitted(bold(letters(headlineSize, ink, draw.XLeft, draw.YTop)), headline(r), width)
	c.FillText(head, vg.Point{X: c.Min.X, Y: y}, headline(r))
	y -= headlineSize * 1.45

	key := letters(labelSize, ink, draw.XLeft, draw.YCenter)
	x := c.Min.X
	row := y - labelSize*0.6
	for _, k := range keys(r) {
		k.draw(c, vg.Rectangle{
			Min: vg.Point{X: x, Y: row - keyHeight/2},
			Max: vg.Point{X: x + keyWidth, Y: row + keyHeight/2},
		})
		x += keyWidth + keyGap
		c.FillText(key, vg.Point{X: x, Y: row}, k.words)
		x += key.Width(k.words) + 3*keyGap
	}
	y -= labelSize * 1.6
	return c.Max.Y - y
}

// The key's samples.
const (
	keyWidth  = 0.75 * vg.Centimeter
	keyHeight = 0.28 * vg.Centimeter
	keyGap    = 0.15 * vg.Centimeter
)

// key is one entry of the key: a sample of the mark and what it stands for.
type key struct {
	words string
	draw  func(draw.Canvas, vg.Rectangle)
}

// keys explains the marks that the picture of r has.
func keys(r report.Report) []key {
	var told, burbles, clean bool
	for _, p := range r.Track {
		told = told || p.RPM.Told()
		burbles = burbles || p.FiresEveryRev > 1
		clean = clean || p.FiresEveryRev == 1
	}
	var list []key
	if told {
		list = append(list, key{keySpeed, sampleOfSpeed})
	}
	if burbles {
		list = append(list, key{keyBurble, hatch})
	}
	if clean {
		list = append(list, key{keyFiring(r.Engine), block})
	}
	return list
}

func sampleOfSpeed(c draw.Canvas, box vg.Rectangle) {
	middle := (box.Min.Y + box.Max.Y) / 2
	c.FillPolygon(speedTip, corners(box))
	c.StrokeLine2(line(1.4, speedInk), box.Min.X, middle, box.Max.X, middle)
}

// drawFooter writes the caution and the name of the clip at the foot of the
// sheet and gives the height that they take.
func drawFooter(c draw.Canvas, r report.Report) vg.Length {
	words := footer + " " + saysFile(r.Clip)
	style := fitted(letters(smallSize, softInk, draw.XLeft, draw.YBottom), words, c.Max.X-c.Min.X)
	c.FillText(style, c.Min, footer)
	style.XAlign = draw.XRight
	c.FillText(style, vg.Point{X: c.Max.X, Y: c.Min.Y}, saysFile(r.Clip))
	return smallSize * 1.7
}

// fitted makes a style as much smaller as its words need to fit a width.
func fitted(s text.Style, words string, width vg.Length) text.Style {
	if w := s.Width(words); w > width {
		s.Font.Size *= width / w
	}
	return s
}

package picture

import (
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/report"
)

// drawHeadline writes the headline at the top of the sheet and gives the height
// that it takes.
func drawHeadline(c draw.Canvas, words string) vg.Length {
	head := fitted(bold(letters(headlineSize, ink, draw.XLeft, draw.YTop)), words, c.Max.X-c.Min.X)
	c.FillText(head, vg.Point{X: c.Min.X, Y: c.Max.Y}, words)
	return headlineSize * 1.45
}

// drawKey explains the marks at the top of the sheet, in as many rows as its
// width needs, and gives the height that it takes.
func drawKey(c draw.Canvas, keys []key) vg.Length {
	words := letters(labelSize, ink, draw.XLeft, draw.YCenter)
	x, row := c.Min.X, c.Max.Y-labelSize*0.6
	for _, k := range keys {
		width := keyWidth + keyGap + words.Width(k.words)
		if x > c.Min.X && x+width > c.Max.X {
			x, row = c.Min.X, row-labelSize*1.4
		}
		k.draw(c, vg.Rectangle{
			Min: vg.Point{X: x, Y: row - keyHeight/2},
			Max: vg.Point{X: x + keyWidth, Y: row + keyHeight/2},
		})
		c.FillText(words, vg.Point{X: x + keyWidth + keyGap, Y: row}, k.words)
		x += width + 3*keyGap
	}
	return c.Max.Y - row + labelSize
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

// drawFooter writes the caution and what is drawn at the foot of the sheet and
// gives the height that they take.
func drawFooter(c draw.Canvas, what string) vg.Length {
	style := fitted(letters(smallSize, softInk, draw.XLeft, draw.YBottom), footer+" "+what, c.Max.X-c.Min.X)
	c.FillText(style, c.Min, footer)
	style.XAlign = draw.XRight
	c.FillText(style, vg.Point{X: c.Max.X, Y: c.Min.Y}, what)
	return smallSize * 1.7
}

// fitted makes a style as much smaller as its words need to fit a width.
func fitted(s text.Style, words string, width vg.Length) text.Style {
	if w := s.Width(words); w > width {
		s.Font.Size *= width / w
	}
	return s
}

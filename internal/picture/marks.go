package picture

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// hatchedBox is the mark of four-stroking: slanted strokes within a frame.
func hatchedBox(c draw.Canvas, box vg.Rectangle) {
	c.FillPolygon(paper, corners(box))
	inside := draw.Canvas{Canvas: c.Canvas, Rectangle: box}
	height := box.Max.Y - box.Min.Y
	var strokes [][]vg.Point
	for x := box.Min.X - height; x < box.Max.X; x += hatchStep {
		strokes = append(strokes, []vg.Point{{X: x, Y: box.Min.Y}, {X: x + height, Y: box.Max.Y}})
	}
	c.StrokeLines(line(0.9, fourStrokeInk), inside.ClipLinesXY(strokes...)...)
	c.StrokeLines(line(0.9, fourStrokeInk), closed(box))
}

// plainBox is the mark of firing every time: a frame with a pale fill.
func plainBox(c draw.Canvas, box vg.Rectangle) {
	c.FillPolygon(hairline, corners(box))
	c.StrokeLines(line(0.5, softInk), closed(box))
}

// emptyBox is the mark of firing that was not told: nothing, within a pale frame.
func emptyBox(c draw.Canvas, box vg.Rectangle) { c.StrokeLines(line(0.5, hairline), closed(box)) }

func closed(box vg.Rectangle) []vg.Point {
	return append(corners(box), box.Min)
}

// plotterFunc lets a function be a plot.Plotter.
type plotterFunc func(c draw.Canvas, p *plot.Plot)

// Plot implements plot.Plotter.
func (f plotterFunc) Plot(c draw.Canvas, p *plot.Plot) { f(c, p) }

// boxed writes words on a blank patch, so that they can be read over lines.
func boxed(c draw.Canvas, style draw.TextStyle, at vg.Point, words string) {
	const pad = 1.2
	box := style.Rectangle(words)
	c.FillPolygon(paper, corners(vg.Rectangle{
		Min: vg.Point{X: at.X + box.Min.X - pad, Y: at.Y + box.Min.Y},
		Max: vg.Point{X: at.X + box.Max.X + pad, Y: at.Y + box.Max.Y},
	}))
	c.FillText(style, at, words)
}

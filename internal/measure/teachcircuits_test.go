package measure_test

import (
	"image/color"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A drawing of a diaphragm carburettor with its two circuits, twice: throttle nearly
// shut, and wide open. It shows what feeds what, and is no part of any make.

// circuitDrawing draws in millimetres on a canvas.
type circuitDrawing struct {
	draw.Canvas
	x, y float64 // of its lower left corner
}

func (d circuitDrawing) at(x, y float64) vg.Point {
	return vg.Point{X: d.Min.X + vg.Length(d.x+x)*vg.Millimeter, Y: d.Min.Y + vg.Length(d.y+y)*vg.Millimeter}
}

func (d circuitDrawing) line(c color.Color, width vg.Length, points ...[2]float64) {
	var all []vg.Point
	for _, p := range points {
		all = append(all, d.at(p[0], p[1]))
	}
	d.StrokeLines(draw.LineStyle{Color: c, Width: width}, all)
}

func (d circuitDrawing) fill(c color.Color, points ...[2]float64) {
	var all []vg.Point
	for _, p := range points {
		all = append(all, d.at(p[0], p[1]))
	}
	d.FillPolygon(c, all)
}

func (d circuitDrawing) label(x, y float64, says string, align text) {
	d.FillText(teachStyle(8.5, nil, align), d.at(x, y), says)
}

var (
	fuelColour  = color.NRGBA{R: 214, G: 150, B: 40, A: 255}
	airColour   = color.NRGBA{R: 150, G: 180, B: 210, A: 255}
	metalColour = color.NRGBA{R: 120, G: 128, B: 136, A: 255}
)

// screw draws a mixture screw in its passage, with the fuel that it lets through.
func (d circuitDrawing) screw(x float64, name string, open bool) {
	width := vg.Length(0.8)
	if open {
		width = 3.2
	}
	d.line(fuelColour, width, [2]float64{x, 18}, [2]float64{x, 36})
	d.line(metalColour, 2.4, [2]float64{x - 9, 26}, [2]float64{x - 4, 26})
	d.fill(metalColour, [2]float64{x - 4, 25}, [2]float64{x - 0.3, 26}, [2]float64{x - 4, 27})
	d.line(metalColour, 4, [2]float64{x - 9, 24}, [2]float64{x - 9, 28})
	d.label(x-11, 26, name, text{draw.XRight, draw.YCenter})
}

// carburettor draws one at a throttle: shut or open.
func (d circuitDrawing) carburettor(open bool) {
	// Metering chamber with its diaphragm, the needle and the pump before it.
	d.fill(paleSand, [2]float64{12, 8}, [2]float64{70, 8}, [2]float64{70, 18}, [2]float64{12, 18})
	d.line(metalColour, 1, [2]float64{12, 8}, [2]float64{12, 18}, [2]float64{70, 18}, [2]float64{70, 8})
	d.line(sweepInk, 2, [2]float64{12, 8}, [2]float64{36, 6.5}, [2]float64{46, 6.5}, [2]float64{70, 8})
	d.label(38, 3, "metering diaphragm, open air below it", centred)
	d.label(34, 13, "metering chamber", centred)
	d.line(fuelColour, 2, [2]float64{90, 13}, [2]float64{70, 13})
	d.fill(color.White, [2]float64{73, 8}, [2]float64{85, 8}, [2]float64{85, 18}, [2]float64{73, 18})
	d.line(metalColour, 1, [2]float64{73, 8}, [2]float64{85, 8}, [2]float64{85, 18}, [2]float64{73, 18}, [2]float64{73, 8})
	d.label(79, 13, "pump", centred)
	d.line(airColour, 3, [2]float64{79, 18}, [2]float64{79, 27})
	d.label(80, 32, "impulse of", centred)
	d.label(80, 29, "the crankcase", centred)
	d.label(83, 3, "from the tank", centred)
	d.line(fuelColour, 2, [2]float64{90, 13}, [2]float64{90, 6})
	d.line(metalColour, 3, [2]float64{66, 11}, [2]float64{70, 13}, [2]float64{66, 15})
	d.label(61, 15.6, "needle", centred)
	// The bore with its venturi.
	d.fill(airColour, [2]float64{0, 36}, [2]float64{22, 36}, [2]float64{32, 39}, [2]float64{46, 36}, [2]float64{82, 36},
		[2]float64{82, 54}, [2]float64{46, 54}, [2]float64{32, 51}, [2]float64{22, 54}, [2]float64{0, 54})
	d.label(2, 57, "air filter side", text{draw.XLeft, draw.YCenter})
	d.label(82, 57, "engine side", text{draw.XRight, draw.YCenter})
	d.line(metalColour, 1, [2]float64{0, 36}, [2]float64{22, 36}, [2]float64{32, 39}, [2]float64{46, 36}, [2]float64{82, 36})
	d.line(metalColour, 1, [2]float64{0, 54}, [2]float64{22, 54}, [2]float64{32, 51}, [2]float64{46, 54}, [2]float64{82, 54})
	d.screw(32, "H", open)
	d.screw(64, "L", true)
	if open {
		d.line(fuelColour, 3.2, [2]float64{32, 36}, [2]float64{32, 40}, [2]float64{40, 43})
		d.line(fuelColour, 1.2, [2]float64{64, 36}, [2]float64{64, 37}, [2]float64{70, 38})
		d.line(metalColour, 3, [2]float64{50, 45}, [2]float64{66, 45})
	} else {
		d.line(fuelColour, 0.8, [2]float64{32, 36}, [2]float64{32, 39})
		d.line(fuelColour, 2.4, [2]float64{64, 36}, [2]float64{64, 37}, [2]float64{70, 39})
		d.line(metalColour, 3, [2]float64{55, 36.5}, [2]float64{61, 53.5})
	}
	d.label(52, 48.5, "throttle", text{draw.XRight, draw.YCenter})
}

// drawCircuits draws both.
func drawCircuits(t *testing.T) []byte {
	return teachSheet(t, 20.4, 8.6, func(c draw.Canvas) {
		shut, open := circuitDrawing{c, 2, 4}, circuitDrawing{c, 104, 4}
		shut.carburettor(false)
		open.carburettor(true)
		title := func(d circuitDrawing, says, below string) {
			d.FillText(teachStyle(10.5, nil, text{draw.XLeft, draw.YCenter}), d.at(0, 72), says)
			d.label(0, 66.5, below, text{draw.XLeft, draw.YCenter})
		}
		title(shut, "Throttle nearly shut: L feeds it", "The suction is behind the throttle, where L ends.")
		title(open, "Throttle wide open: H feeds it", "The air is fast in the narrow part, where H ends.")
	})
}

package picture

import (
	"image/color"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/report"
)

// How an order spectrum is drawn.
const (
	maxOrder       = 6.0 // highest order drawn: half orders have room between the integers
	maxOrderDB     = 40  // higher lines are cut off here
	orderTolerance = 0.2 // distance from an integer order within which a line belongs to it
	integerWidth   = 2.4 // of their strokes, in points
	otherWidth     = 1.5
)

// ordersPanel draws the order spectrum of the nth pass: a stroke for each line,
// bold at the integer orders, brown between them, where four-stroking shows. Only
// the last panel has the numbers of the orders under it.
func ordersPanel(n int, pass report.ComparedPass, last bool) *plot.Plot {
	p := newPanel(maxOrder)
	p.X.Tick.Marker = orderTicker{}
	if last {
		p.X.Label.Text = axisOrders
	} else {
		p.X.Tick.Marker = unlabelled{p.X.Tick.Marker}
	}
	p.Y.Min, p.Y.Max = 0, maxOrderDB
	p.Y.Label.Text = axisDB
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: maxOrderDB / 2, Label: "20"}}
	p.Add(halfOrderLines(), orderName(n))
	if pass.Orders == nil {
		p.Add(centredText(noOrders))
		return p
	}
	p.Add(orderStrokes(*pass.Orders))
	return p
}

// orderTicker marks integer and half orders.
type orderTicker struct{}

// Ticks implements plot.Ticker.
func (orderTicker) Ticks(_, _ float64) []plot.Tick {
	var ticks []plot.Tick
	for k := 0.5; k <= maxOrder; k += 0.5 {
		words := "½"
		if k == math.Trunc(k) {
			words = strconv.Itoa(int(k))
		}
		ticks = append(ticks, plot.Tick{Value: k, Label: words})
	}
	return ticks
}

// halfOrderLines draws a line at each half order.
func halfOrderLines() plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, _ := p.Transforms(&c)
		for k := 0.5; k < maxOrder; k++ {
			c.StrokeLine2(line(0.5, fourStrokeInk, 1, 2), x(k), c.Min.Y, x(k), c.Max.Y)
		}
	})
}

// orderName writes the number of the pass in the right margin.
func orderName(n int) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, _ *plot.Plot) {
		style := bold(textStyle(labelSize, passStyle(n).Color, draw.XLeft, draw.YCenter))
		c.FillText(style, vg.Point{X: c.Max.X + 3, Y: c.Center().Y}, strconv.Itoa(n+1))
	})
}

// orderStrokes draws the levels as strokes.
func orderStrokes(o report.Orders) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, y := p.Transforms(&c)
		for k, level := range o.LevelsDB {
			order := float64(k+1) / float64(o.LinesPerOrder)
			if order > maxOrder || level <= 0 {
				continue
			}
			width, tone := vg.Length(otherWidth), color.NRGBA(fourStrokeInk)
			if whole := math.Round(order); whole > 0 && math.Abs(order-whole) < orderTolerance {
				width, tone = integerWidth, speedInk
			}
			c.StrokeLine2(line(width, tone), x(order), c.Min.Y, x(order), y(math.Min(level, maxOrderDB)))
		}
	})
}

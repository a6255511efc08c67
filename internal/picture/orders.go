package picture

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/report"
)

// How an order spectrum is drawn.
const (
	maxOrder       = 6.0  // highest order drawn: half orders have room between the integers
	maxOrderDB     = 40   // higher lines are cut off here
	orderTolerance = 0.04 // distance from an integer order within which a line belongs to it
	standsOut      = 9    // dB over the floor from which a line is one: noise reaches 7
	standsAlone    = 3    // dB over its neighbours: a skirt of a whole order does not
	integerWidth   = 1.6  // of their strokes, in points
	otherWidth     = 2.8
	noiseWidth     = 0.8
)

// ordersPanel draws the order spectrum of the nth pass: a stroke for each line, slim at
// the integer orders, which every engine has, and bold, brown and headed at halves, thirds
// and quarters, where four-stroking shows. Only the last panel has the numbers of the
// orders under it.
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
		style := bold(textStyle(labelSize, passInk(n), draw.XLeft, draw.YCenter))
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
			top := vg.Point{X: x(order), Y: y(math.Min(level, maxOrderDB))}
			style := line(noiseWidth, softInk)
			switch {
			case level < standsOut:
			case near(order, 1):
				style = line(integerWidth, speedInk)
			case misses(order) && alone(o.LevelsDB, k):
				style = line(otherWidth, fourStrokeInk)
				c.DrawGlyph(draw.GlyphStyle{Color: fourStrokeInk, Radius: otherWidth, Shape: draw.CircleGlyph{}}, top)
			}
			c.StrokeLine2(style, top.X, c.Min.Y, top.X, top.Y)
		}
	})
}

// near reports whether an order is a multiple of 1/n.
func near(order, n float64) bool { return math.Abs(order*n-math.Round(order*n)) < orderTolerance*n }

// misses reports whether an order is one of an engine that fires every 2nd, 3rd or 4th turn.
func misses(order float64) bool { return near(order, 2) || near(order, 3) || near(order, 4) }

// alone reports whether line k stands out from those beside it.
func alone(levels []float64, k int) bool {
	for _, beside := range []int{k - 1, k + 1} {
		if beside >= 0 && beside < len(levels) && levels[k] < levels[beside]+standsAlone {
			return false
		}
	}
	return true
}

package picture

import (
	"io"
	"math"
	"strconv"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/report"
)

// Trend is the passes of one machine in order of time.
type Trend struct {
	Name   string        // of the machine
	Limits report.Limits // drawn as lines; 0: none
	Passes []TrendPass   // in order of time
}

// TrendPass is one pass of a trend.
type TrendPass struct {
	Number       int64
	At           time.Time
	Top          report.Speed // sustained; 0: not told
	TopSD        float64      // rpm
	Corrected    report.Speed // Top in standard air; 0: not corrected
	CorrectedSD  float64      // rpm
	FourStroking *float64     // 0 to 1; nil: not told
	Idle         report.Speed // 0: not told
	IdleSD       float64      // rpm
}

// TrendSize fits the width of an A4 or Letter page with its margins.
var TrendSize = Size{WidthCM: 18, HeightCM: 15}

// DrawTrend writes the picture of a trend: the top speeds as they were measured
// and in standard air, the share of four-stroking, and the idle. Passes are equally
// spaced, so that those of one day stay apart. The errors are those of Draw.
func DrawTrend(w io.Writer, f Format, s Size, t Trend) error {
	return write(w, f, s, saysTrend(t), func(c draw.Canvas) {
		c.FillPolygon(paper, corners(c.Rectangle))
		sheet := draw.Crop(c, sheetMargin, -sheetMargin, sheetMargin, -sheetMargin)
		top := drawHeadline(sheet, saysTrend(t))
		bottom := drawFooter(sheet, saysPasses(len(t.Passes)))
		composeTrend(draw.Crop(sheet, 0, 0, bottom, -top), t)
	})
}

// InlineTrend is Inline for a trend.
func InlineTrend(w io.Writer, t Trend) error {
	const height = 12 * vg.Centimeter
	return inline(w, height, altText{"trend", saysTrend(t), describeTrend(t)}, func(c draw.Canvas) { composeTrend(c, t) })
}

// Heights of the lower two panels, as shares of all.
const (
	fourShare = 0.2
	idleShare = 0.28
)

// composeTrend draws legend, top speeds, four-stroking and idle.
func composeTrend(c draw.Canvas, t Trend) {
	body := draw.Crop(c, 0, -rightMargin, 0, -drawLegend(c, trendLegend(t)))
	height := body.Max.Y - body.Min.Y
	idle, four := idleShare*height, fourShare*height
	fit := maxLabels(body.Max.X - body.Min.X)
	drawAligned(
		panel{topSpeedPanel(t, fit), draw.Crop(body, 0, 0, idle+four+2*panelGap, 0)},
		panel{fourStrokingPanel(t, fit), draw.Crop(body, 0, 0, idle+panelGap, four+idle-height)},
		panel{idlePanel(t, fit), draw.Crop(body, 0, 0, 0, idle-height)})
}

// maxLabels gives how many dates fit side by side in a width.
func maxLabels(width vg.Length) int {
	return max(1, int(width/(1.3*textStyle(labelSize, ink, draw.XCenter, draw.YTop).Width("2026-12-31"))))
}

// trendPanel is an empty panel with a place for each pass; words says whether
// their numbers and dates are written below it.
func trendPanel(t Trend, fit int, words bool) *plot.Plot {
	const half = 0.5 // of the distance of two passes, before the first and after the last
	n := max(1, len(t.Passes))
	p := newPanel(float64(n) + half)
	p.X.Min = half
	p.X.Tick.Marker = passTicks{t, (n + fit - 1) / fit}
	if !words {
		p.X.Tick.Marker = unlabelled{p.X.Tick.Marker}
	}
	p.X.Tick.Label.YAlign = draw.YTop
	return p
}

// passTicks has a tick for each pass; one of every so many has its number and day.
type passTicks struct {
	t     Trend
	every int
}

// Ticks implements plot.Ticker.
func (x passTicks) Ticks(float64, float64) []plot.Tick {
	var ticks []plot.Tick
	for i, p := range x.t.Passes {
		tick := plot.Tick{Value: passX(i)}
		if i%x.every == 0 {
			tick.Label = saysPlace(p)
		}
		ticks = append(ticks, tick)
	}
	return ticks
}

// passX gives the place of the ith pass on the x axis.
func passX(i int) float64 { return float64(i + 1) }

// trendValue is a value of one pass with its standard deviation.
type trendValue struct {
	index     int
	value, sd float64
	corrected bool
}

func topSpeedPanel(t Trend, fit int) *plot.Plot {
	p := trendPanel(t, fit, false)
	p.Y.Label.Text = axisSpeed
	p.Y.Tick.Marker = thousandsTicks{parts: 6}
	var measured, corrected []trendValue
	for i, pass := range t.Passes {
		if pass.Top.Told() {
			measured = append(measured, trendValue{i, float64(pass.Top), pass.TopSD, false})
		}
		if pass.Corrected.Told() {
			corrected = append(corrected, trendValue{i, float64(pass.Corrected), pass.CorrectedSD, true})
		}
	}
	p.Y.Min, p.Y.Max = axisRange(append(append([]trendValue{}, measured...), corrected...), t.Limits.MaxRPM)
	p.Add(overLimitArea(t.Limits.MaxRPM), gridLines(), valueSeries(corrected), valueSeries(measured), limitLine(t.Limits.MaxRPM))
	return p
}

// axisRange gives the ends of an axis that shows values and lines with some room.
func axisRange(values []trendValue, lines ...report.Speed) (least, most float64) {
	least, most = math.Inf(1), 0
	for _, r := range values {
		least, most = min(least, r.value-2*r.sd), max(most, r.value+2*r.sd)
	}
	for _, l := range lines {
		if l.Told() {
			least, most = min(least, float64(l)), max(most, float64(l))
		}
	}
	if most == 0 {
		return 0, emptyTop
	}
	const room, narrowest = 1.24, 400 // of the span; rpm
	half, middle := room/2*max(narrowest, most-least), (least+most)/2
	return max(0, middle-half), middle + half
}

// valueSeries draws values with their 95 % intervals. A line joins values of
// consecutive passes; a pass without one leaves a gap. Measured values are dots,
// corrected ones hollow diamonds on a dashed line, a little to the right.
func valueSeries(values []trendValue) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, y := p.Transforms(&c)
		for i, r := range values {
			at := r.at(x, y)
			style := r.style()
			if i > 0 && values[i-1].index == r.index-1 {
				before := values[i-1].at(x, y)
				c.StrokeLine2(style, before.X, before.Y, at.X, at.Y)
			}
			c.StrokeLine2(line(style.Width, style.Color), at.X, y(r.value-2*r.sd), at.X, y(r.value+2*r.sd))
		}
		for _, r := range values {
			mark(c, r.at(x, y), r.corrected)
		}
	})
}

// at gives the place of a value in a panel.
func (r trendValue) at(x, y func(float64) vg.Length) vg.Point {
	at := vg.Point{X: x(passX(r.index)), Y: y(r.value)}
	if r.corrected {
		at.X += markSize
	}
	return at
}

func (r trendValue) style() draw.LineStyle {
	if r.corrected {
		return line(0.8, secondInk, 4, 2.5)
	}
	return line(0.8, speedInk)
}

// markSize is half the width of the mark of a value.
const markSize = 2.6

// mark draws the mark of one value.
func mark(c draw.Canvas, at vg.Point, corrects bool) {
	if !corrects {
		c.DrawGlyph(draw.GlyphStyle{Color: speedInk, Radius: markSize, Shape: draw.CircleGlyph{}}, at)
		return
	}
	const wide = markSize * 1.3
	diamond := []vg.Point{{X: at.X - wide, Y: at.Y}, {X: at.X, Y: at.Y + wide}, {X: at.X + wide, Y: at.Y}, {X: at.X, Y: at.Y - wide}}
	c.FillPolygon(paper, diamond)
	c.StrokeLines(line(1, secondInk), append(diamond, diamond[0]))
}

func fourStrokingPanel(t Trend, fit int) *plot.Plot {
	p := trendPanel(t, fit, false)
	p.Y.Label.Text = axisFour
	p.Y.Min, p.Y.Max = 0, 1
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: 0.5, Label: "50"}, {Value: 1, Label: "100"}}
	p.Add(gridLines(), plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, y := p.Transforms(&c)
		const half = 0.3 // of the distance of two passes
		for i, pass := range t.Passes {
			if pass.FourStroking == nil {
				c.FillText(textStyle(smallSize, softInk, draw.XCenter, draw.YBottom), vg.Point{X: x(passX(i)), Y: y(0) + 2}, notToldMark)
				continue
			}
			wide := min(x(half)-x(0), widestBar)
			hatchedBox(c, vg.Rectangle{
				Min: vg.Point{X: x(passX(i)) - wide, Y: y(0)}, Max: vg.Point{X: x(passX(i)) + wide, Y: y(*pass.FourStroking)},
			})
		}
	}))
	return p
}

// widestBar is half the width of a bar where there are few passes.
const widestBar = 0.5 * vg.Centimeter

func idlePanel(t Trend, fit int) *plot.Plot {
	p := trendPanel(t, fit, true)
	p.X.Label.Text = axisPasses
	p.Y.Label.Text = axisIdle
	p.Y.Tick.Marker = thousandsTicks{parts: 4}
	var idles []trendValue
	for i, pass := range t.Passes {
		if pass.Idle.Told() {
			idles = append(idles, trendValue{i, float64(pass.Idle), pass.IdleSD, false})
		}
	}
	p.Y.Min, p.Y.Max = axisRange(idles, t.Limits.IdleRPM, t.Limits.ClutchRPM)
	p.Add(gridLines(), namedLine(t.Limits.IdleRPM, nameIdle), namedLine(t.Limits.ClutchRPM, nameClutch), valueSeries(idles))
	return p
}

// namedLine draws an entered speed, dashed, and names it in the right margin.
func namedLine(v report.Speed, name string) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		if !v.Told() {
			return
		}
		_, y := p.Transforms(&c)
		c.StrokeLine2(line(0.9, softInk, 4, 2), c.Min.X, y(float64(v)), c.Max.X, y(float64(v)))
		c.FillText(textStyle(smallSize, softInk, draw.XLeft, draw.YCenter), vg.Point{X: c.Max.X + 3, Y: y(float64(v))}, name)
	})
}

// trendLegend gives the legend of the marks that a trend has.
func trendLegend(t Trend) []legendEntry {
	var measured, corrected, four bool
	for _, p := range t.Passes {
		measured = measured || p.Top.Told()
		corrected = corrected || p.Corrected.Told()
		four = four || p.FourStroking != nil
	}
	sample := func(corrects bool) func(draw.Canvas, vg.Rectangle) {
		return func(c draw.Canvas, box vg.Rectangle) {
			middle := vg.Point{X: (box.Min.X + box.Max.X) / 2, Y: (box.Min.Y + box.Max.Y) / 2}
			c.StrokeLine2(trendValue{corrected: corrects}.style(), box.Min.X, middle.Y, box.Max.X, middle.Y)
			mark(c, middle, corrects)
		}
	}
	var list []legendEntry
	if measured {
		list = append(list, legendEntry{legendMeasured, sample(false)})
	}
	if corrected {
		list = append(list, legendEntry{legendCorrected, sample(true)})
	}
	if four {
		list = append(list, legendEntry{legendFourStroking, hatchedBox})
	}
	return list
}

func saysPlace(p TrendPass) string {
	return strconv.FormatInt(p.Number, 10) + "\n" + p.At.Format("2006-01-02")
}

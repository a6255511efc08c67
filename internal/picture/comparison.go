package picture

import (
	"image/color"
	"io"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/report"
)

// ComparisonSize is the size of a picture of n passes side by side: the speeds,
// and below them one order spectrum for each.
func ComparisonSize(n int) Size {
	return Size{WidthCM: DefaultSize.WidthCM, HeightCM: speedsCM + float64(n)*ordersCM}
}

// Heights of the parts of a comparison.
const (
	speedsCM = 10.5
	ordersCM = 3.4
)

// DrawComparison writes the picture of passes side by side: their speeds in one
// panel, aligned at the opening of the throttle, and the order spectra of their
// plateaus one above the other. The errors are those of Draw.
func DrawComparison(w io.Writer, f Format, s Size, c report.Comparison) error {
	return write(w, f, s, report.ComparisonHeadline(c), func(sheet draw.Canvas) { composeComparison(sheet, c) })
}

func composeComparison(c draw.Canvas, cmp report.Comparison) {
	c.FillPolygon(paper, corners(c.Rectangle))
	sheet := draw.Crop(c, sheetMargin, -sheetMargin, sheetMargin, -sheetMargin)
	top := drawHeadline(sheet, report.ComparisonHeadline(cmp))
	bottom := drawFooter(sheet, saysPasses(len(cmp.Passes)))
	composeComparisonBody(draw.Crop(sheet, 0, 0, bottom, -top), cmp)
}

// composeComparisonBody draws legend, speeds and order spectra.
func composeComparisonBody(c draw.Canvas, cmp report.Comparison) {
	body := draw.Crop(c, 0, -rightMargin, 0, -drawLegend(c, comparisonLegend(cmp)))
	n := vg.Length(len(cmp.Passes))
	height := body.Max.Y - body.Min.Y
	lower := height * n * ordersCM / (speedsCM - sheetCM + n*ordersCM)
	caption, words := ordersCaption(c.Max.X - c.Min.X)
	c.FillText(caption, vg.Point{X: body.Min.X, Y: body.Min.Y + lower}, words)

	panels := []panel{{speedsPanel(cmp), draw.Crop(body, 0, 0, lower+panelGap, 0)}}
	each := (lower - captionHeight - orderTicks) / n
	for i, pass := range cmp.Passes {
		under := orderTicks + (n-1-vg.Length(i))*each
		last := i == len(cmp.Passes)-1
		if last {
			under = 0
		}
		above := captionHeight + vg.Length(i)*each
		panels = append(panels, panel{ordersPanel(i, pass, last), draw.Crop(body, 0, 0, under, lower-height-above)})
	}
	drawAligned(panels...)
}

// ordersCaption gives the caption of the order spectra and its style for a sheet
// of this width: the short one where the long one would be smaller than the footer.
func ordersCaption(width vg.Length) (text.Style, string) {
	style := textStyle(labelSize, softInk, draw.XLeft, draw.YTop)
	if long := fitted(style, capOrders, width); long.Font.Size >= smallSize {
		return long, capOrders
	}
	return fitted(style, capOrdersShort, width), capOrdersShort
}

const (
	sheetCM    = 2.2                  // height of headline, legend and footer, about
	orderTicks = 0.95 * vg.Centimeter // height of the numbers and the label under the last panel
)

// passStyle is the line of the nth pass: both its colour and its dashes differ from
// the others, so that either is enough.
func passStyle(n int) draw.LineStyle {
	styles := [report.MaxPasses]draw.LineStyle{
		line(1.6, speedInk),
		line(2, secondLine, 7, 2.5),
		line(1.6, thirdInk, 2, 2),
		line(1.6, ink, 9, 2, 2, 2),
		line(1.6, fourStrokeInk, 4, 1.5),
		line(1.6, softInk, 1, 3),
	}
	return styles[n%len(styles)]
}

// passInk is the colour of words about the nth pass: its line's, or darker.
func passInk(n int) color.Color {
	if c := passStyle(n).Color; c != secondLine {
		return c
	}
	return secondInk
}

// comparisonLegend gives each pass with a sample of its line.
func comparisonLegend(c report.Comparison) []legendEntry {
	var list []legendEntry
	for i, p := range c.Passes {
		list = append(list, legendEntry{saysPass(i, p), func(c draw.Canvas, box vg.Rectangle) {
			middle := (box.Min.Y + box.Max.Y) / 2
			c.StrokeLine2(passStyle(i), box.Min.X, middle, box.Max.X, middle)
		}})
	}
	return list
}

// speedsPanel draws the speeds over the time since the throttle opened. A pass
// without an opening in the recording begins at 0.
func speedsPanel(c report.Comparison) *plot.Plot {
	from, to, top := 0.0, shortest, 0.0
	for _, p := range c.Passes {
		from = math.Min(from, -openingTime(p))
		to = math.Max(to, p.Report.Clip.DurationS-openingTime(p))
		top = math.Max(top, highestSpeed(p.Report, trackRuns(p.Report.Track)))
	}
	panel := newPanel(to)
	panel.X.Min = from
	panel.X.Label.Text = axisOpening
	panel.Y.Label.Text = axisSpeed
	panel.Y.Tick.Marker = thousandsTicks{parts: 8}
	panel.Y.Max = speedsHeadroom * top
	if top == 0 {
		panel.Y.Max = emptyTop
	}
	panel.Y.Min = 0
	if limit, shared := sharedLimit(c); shared {
		panel.Add(overLimitArea(limit), gridLines(), openingLine(), limitLine(limit))
	} else {
		panel.Add(gridLines(), openingLine())
	}
	for i, p := range c.Passes {
		for _, run := range trackRuns(p.Report.Track) {
			panel.Add(speedLine(shifted(run, -openingTime(p)), 1, passStyle(i)))
		}
		panel.Add(passNumber(i, p))
	}
	return panel
}

// speedsHeadroom is how far the axis reaches above the highest speed.
const speedsHeadroom = 1.08

func openingTime(p report.ComparedPass) float64 {
	if p.OpensAtS == nil {
		return 0
	}
	return *p.OpensAtS
}

// sharedLimit gives the limit that all passes were compared with.
func sharedLimit(c report.Comparison) (report.Speed, bool) {
	var limit report.Speed
	for i, p := range c.Passes {
		if i > 0 && p.Report.Limits.MaxRPM != limit {
			return 0, false
		}
		limit = p.Report.Limits.MaxRPM
	}
	return limit, limit.Told()
}

func shifted(run []drawnPoint, by float64) []drawnPoint {
	moved := make([]drawnPoint, len(run))
	for i, r := range run {
		r.t += by
		moved[i] = r
	}
	return moved
}

// openingLine marks the instant at which the throttle opens.
func openingLine() plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, _ := p.Transforms(&c)
		c.StrokeLine2(line(0.7, softInk), x(0), c.Min.Y, x(0), c.Max.Y)
	})
}

// passNumber writes the number of a pass on its line, each further along the
// plateau than the one before.
func passNumber(i int, pass report.ComparedPass) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		t := pass.Report.TopEnd
		if t == nil {
			return
		}
		x, y := p.Transforms(&c)
		share := (float64(i) + 1) / (report.MaxPasses + 1)
		at := t.FromS + share*(t.ToS-t.FromS)
		rpm, ok := speedAfter(pass.Report.Track, at)
		if !ok {
			return
		}
		style := bold(textStyle(labelSize, passInk(i), draw.XCenter, draw.YCenter))
		boxed(c, style, vg.Point{X: x(at - openingTime(pass)), Y: y(rpm)}, strconv.Itoa(i+1))
	})
}

// speedAfter gives the first speed told at or after a time.
func speedAfter(track []report.Point, at float64) (float64, bool) {
	for _, p := range track {
		if p.TimeS >= at && p.RPM.Told() {
			return float64(p.RPM), true
		}
	}
	return 0, false
}

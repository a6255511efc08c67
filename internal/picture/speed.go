package picture

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/report"
)

// headroom is the top of the speed axis over the highest speed: room for the names
// of the phases.
const headroom = 1.2

// emptyTop is the top of the axis, in rpm, where there is no speed and no limit.
const emptyTop = 10000

// speedPanel draws phases, uncertainty, speed, firing and limit.
func speedPanel(r report.Report) *plot.Plot {
	runs := trackRuns(r.Track)
	p := newPanel(r.Clip.DurationS)
	p.Y.Label.Text = axisSpeed
	p.Y.Tick.Marker = thousandsTicks{parts: 8}
	p.Y.Min, p.Y.Max = 0, headroom*highestSpeed(r, runs)
	if p.Y.Max == 0 {
		p.Y.Max = emptyTop
	}
	p.X.Tick.Marker = unlabelled{p.X.Tick.Marker}

	p.Add(phaseBands(r.Phases), overLimitArea(ceilingOf(r)), gridLines(), phaseNames(r.Phases))
	for _, run := range runs {
		p.Add(speedBand(run))
	}
	p.Add(firingMarks(firingSegments(runs, halfStep(r.Track))))
	for _, run := range runs {
		p.Add(speedLine(run, 1, line(1.5, speedInk)))
	}
	p.Add(limitLine(r.Limits.MaxRPM, edgesOf(r)...))
	if r.TopEnd != nil {
		p.Add(sustainedLabel(*r.TopEnd))
	}
	return p
}

// unlabelled gives the ticks of an axis without labels, which the panel below has.
type unlabelled struct{ plot.Ticker }

// Ticks implements plot.Ticker.
func (b unlabelled) Ticks(lowest, highest float64) []plot.Tick {
	ticks := b.Ticker.Ticks(lowest, highest)
	for i := range ticks {
		ticks[i].Label = ""
	}
	return ticks
}

func gridLines() plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		_, y := p.Transforms(&c)
		for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
			c.StrokeLine2(line(0.4, hairline), c.Min.X, y(t.Value), c.Max.X, y(t.Value))
		}
	})
}

// bandOf gives the place of a phase within the panel.
func bandOf(ph report.Phase, c draw.Canvas, p *plot.Plot) vg.Rectangle {
	x, _ := p.Transforms(&c)
	return vg.Rectangle{
		Min: vg.Point{X: max(c.Min.X, x(ph.FromS)), Y: c.Min.Y},
		Max: vg.Point{X: min(c.Max.X, x(ph.ToS)), Y: c.Max.Y},
	}
}

// phaseBands tints every second phase.
func phaseBands(phases []report.Phase) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		for i, ph := range phases {
			band := bandOf(ph, c, p)
			if i%2 == 1 {
				c.FillPolygon(oddTint, corners(band))
			}
			if i > 0 {
				c.StrokeLine2(line(0.5, hairline), band.Min.X, band.Min.Y, band.Min.X, band.Max.Y)
			}
		}
	})
}

// phaseNames names the phases at the top.
func phaseNames(phases []report.Phase) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		for _, ph := range phases {
			namePhase(c, bandOf(ph, c, p), PhaseName(ph))
		}
	})
}

// namePhase writes the name of a phase at the top of its band: horizontally where
// the band is wide enough, otherwise vertically where the headroom is high enough,
// otherwise not at all.
func namePhase(c draw.Canvas, band vg.Rectangle, words string) {
	const inset = 2
	style := textStyle(labelSize, softInk, draw.XCenter, draw.YTop)
	at := vg.Point{X: (band.Min.X + band.Max.X) / 2, Y: band.Max.Y - inset}
	width, room := band.Max.X-band.Min.X, (band.Max.Y-band.Min.Y)*(1-1/headroom)
	switch long := style.Width(words) + 2*inset; {
	case long <= width:
		c.FillText(style, at, words)
	case long <= room && width >= labelSize:
		style.Rotation, style.XAlign, style.YAlign = math.Pi/2, draw.XRight, draw.YCenter
		c.FillText(style, at, words)
	}
}

// overLimitArea tints the area above the limit.
func overLimitArea(limit report.Speed) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		if !limit.Told() {
			return
		}
		_, y := p.Transforms(&c)
		c.FillPolygon(overTint, corners(vg.Rectangle{
			Min: vg.Point{X: c.Min.X, Y: y(float64(limit))}, Max: c.Max,
		}))
	})
}

// ceilingOf gives the speed above which it is too fast.
func ceilingOf(r report.Report) report.Speed {
	return report.Speed(report.Query(r.Engine, r.Limits).Ceiling())
}

// edgesOf gives the edges of a set-to figure, nothing for a plain maximum.
func edgesOf(r report.Report) []report.Speed {
	m := report.Query(r.Engine, r.Limits)
	if m.Floor() == 0 {
		return nil
	}
	return []report.Speed{report.Speed(m.Floor()), report.Speed(m.Ceiling())}
}

// limitLine draws the limit, dashed, and names it in the right margin; of a set-to
// figure it draws the edges.
func limitLine(limit report.Speed, edges ...report.Speed) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		if !limit.Told() {
			return
		}
		_, y := p.Transforms(&c)
		at, said := y(float64(limit)), nameLimit
		if len(edges) == 0 {
			c.StrokeLine2(line(1.4, limitInk, 6, 3), c.Min.X, at, c.Max.X, at)
		} else {
			said = nameSetTo
		}
		for _, edge := range edges {
			c.StrokeLine2(line(1.4, limitInk, 6, 3), c.Min.X, y(float64(edge)), c.Max.X, y(float64(edge)))
		}
		name := bold(textStyle(labelSize, limitInk, draw.XLeft, draw.YBottom))
		c.FillText(name, vg.Point{X: c.Max.X + 3, Y: at}, said)
		name.YAlign = draw.YTop
		c.FillText(name, vg.Point{X: c.Max.X + 3, Y: at}, limit.String())
	})
}

// speedBand fills the coverage band (95 %).
func speedBand(run []drawnPoint) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, y := p.Transforms(&c)
		outline := make([]vg.Point, 0, 2*len(run))
		for _, r := range run {
			outline = append(outline, vg.Point{X: x(r.t), Y: y(r.high)})
		}
		for i := len(run) - 1; i >= 0; i-- {
			outline = append(outline, vg.Point{X: x(run[i].t), Y: y(run[i].low)})
		}
		c.FillPolygon(speedBandTint, c.ClipPolygonXY(outline))
	})
}

// speedLine draws an order of the speed; a single point is drawn as a dot.
func speedLine(run []drawnPoint, order float64, style draw.LineStyle) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, y := p.Transforms(&c)
		points := make([]vg.Point, len(run))
		for i, r := range run {
			points[i] = vg.Point{X: x(r.t), Y: y(order * r.rpm)}
		}
		if len(points) == 1 {
			c.DrawGlyph(draw.GlyphStyle{Color: style.Color, Radius: style.Width, Shape: draw.CircleGlyph{}}, points[0])
			return
		}
		c.StrokeLines(style, c.ClipLinesXY(points)...)
	})
}

// firingMarks draws the strip at the bottom of the panel: hatched where the engine
// four-strokes, plain where it fires every time, empty where that is not told.
func firingMarks(all []firingSegment) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, _ := p.Transforms(&c)
		words := textStyle(smallSize, fourStrokeInk, draw.XCenter, draw.YCenter)
		for _, s := range all {
			box := vg.Rectangle{
				Min: vg.Point{X: max(c.Min.X, x(s.from)), Y: c.Min.Y + 2},
				Max: vg.Point{X: min(c.Max.X, x(s.to)), Y: c.Min.Y + 2 + firingStrip},
			}
			if s.fires == 1 {
				plainBox(c, box)
				continue
			}
			hatchedBox(c, box)
			if name := saysFires(s.fires); words.Width(name)+8 < box.Max.X-box.Min.X {
				boxed(c, words, vg.Point{X: (box.Min.X + box.Max.X) / 2, Y: (box.Min.Y + box.Max.Y) / 2}, name)
			}
		}
	})
}

// sustainedLabel writes the sustained speed under its plateau, where that is long
// enough; the headline has the figure in any case.
func sustainedLabel(t report.TopEnd) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		x, y := p.Transforms(&c)
		from, to := x(t.FromS), x(t.ToS)
		style := bold(textStyle(labelSize, speedInk, draw.XCenter, draw.YTop))
		words := saysSustained(t)
		if style.Width(words) < to-from {
			boxed(c, style, vg.Point{X: (from + to) / 2, Y: y(float64(t.SustainedRPM)) - sustainedDrop}, words)
		}
	})
}

// sustainedDrop is the distance of that label below the speed, clear of the band
// and of small oscillations.
const sustainedDrop = 0.55 * vg.Centimeter

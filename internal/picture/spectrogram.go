package picture

import (
	"image"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/spectrum"
)

// maxFrequency is the highest frequency drawn: the first four orders of the
// fastest engines are below it, and half orders are still apart.
const maxFrequency engine.Hz = 900

// Levels over the local floor that are drawn in white and in full grey.
const (
	minLevelDB = 4
	maxLevelDB = 24
)

// spectrogramPanel draws the spectrogram of the sound, with the measured speed over
// it, and the frequency of firing where the engine four-strokes.
func spectrogramPanel(r report.Report, m spectrum.Spectrogram) *plot.Plot {
	p := newPanel(r.Clip.DurationS)
	p.X.Label.Text = axisTime
	p.Y.Label.Text = axisFrequency
	p.Y.Tick.Marker = thousandsTicks{parts: 5}
	p.Y.Min, p.Y.Max = 0, float64(maxFrequency.RPM())
	if len(m.Levels) == 0 {
		p.Add(centredText(noSpectrogram))
		return p
	}
	p.Add(spectrogramImage(m, p.X.Max))
	runs := trackRuns(r.Track)
	for _, run := range runs {
		p.Add(speedLine(run, 1, line(1.2, speedInk)))
	}
	all := firingSegments(runs, halfStep(r.Track))
	for _, s := range all {
		if s.fires > 1 {
			p.Add(speedLine(s.run, 1/float64(s.fires), line(1.1, fourStrokeInk, 1.5, 2.5)))
		}
	}
	if r.TopEnd != nil {
		p.Add(orderLabels(float64(r.TopEnd.SustainedRPM), longestFiring(all)))
	}
	return p
}

// spectrogramImage gives the spectrogram from 0 to end seconds and from 0 to
// maxFrequency in at most maxPoints columns, each the maximum of the columns that
// it covers. It is black of varying opacity, and transparent outside of the
// spectrogram, so that it fits any background.
func spectrogramImage(m spectrum.Spectrogram, end float64) plot.Plotter {
	columns := min(maxPoints, len(m.Levels))
	rows := int(maxFrequency / m.BinWidth)
	img := image.NewNRGBA(image.Rect(0, 0, columns, rows))
	at := func(x int) int { // column of the spectrogram at the left edge of an image column
		t := end * float64(x) / float64(columns)
		return int(math.Round((t - float64(m.First)) / float64(m.Hop)))
	}
	for x := range columns {
		from := min(max(at(x), 0), len(m.Levels)-1)
		to := min(max(at(x+1), from+1), len(m.Levels))
		for row := range rows {
			var loudest float32
			for _, column := range m.Levels[from:to] {
				if row < len(column) {
					loudest = max(loudest, column[row])
				}
			}
			img.SetNRGBA(x, rows-1-row, color.NRGBA{A: 255 - grey(loudest).Y})
		}
	}
	return plotter.NewImage(img, 0, 0, end, float64(maxFrequency.RPM()))
}

// grey gives the tone of a level, lighter than the lines drawn over it.
func grey(level float32) color.Gray {
	const lightest, darkest = 255, 145
	share := (float64(level) - minLevelDB) / (maxLevelDB - minLevelDB)
	share = math.Max(0, math.Min(1, share))
	return color.Gray{Y: uint8(lightest - share*(lightest-darkest))}
}

// longestFiring gives the firing period above 1 with the longest total time; 0 when
// the engine does not four-stroke.
func longestFiring(all []firingSegment) int {
	var lasts [len(firingWords)]float64
	best := 0
	for _, s := range all {
		if s.fires > 1 {
			lasts[s.fires] += s.to - s.from
			if lasts[s.fires] > lasts[best] {
				best = s.fires
			}
		}
	}
	return best
}

// orderLabels names the orders of a speed in the right margin, and the frequency of
// firing every nth time when there is one, where there is room.
func orderLabels(rpm float64, slower int) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, p *plot.Plot) {
		_, y := p.Transforms(&c)
		style := textStyle(labelSize, ink, draw.XLeft, draw.YCenter)
		write := func(order float64, words string) {
			c.FillText(style, vg.Point{X: c.Max.X + 3, Y: y(order * rpm)}, words)
		}
		write(1, saysOrder(1))
		if y(2*rpm)-y(rpm) > labelSize {
			for n := 2; float64(n)*rpm < p.Y.Max; n++ {
				write(float64(n), saysOrder(n))
			}
		}
		if slower > 1 && y(rpm)-y(rpm/float64(slower)) > labelSize*0.8 {
			style.Color = fourStrokeInk
			write(1/float64(slower), saysSlower(slower))
		}
	})
}

// centredText writes a sentence in the middle of an empty panel.
func centredText(words string) plot.Plotter {
	return plotterFunc(func(c draw.Canvas, _ *plot.Plot) {
		c.FillText(textStyle(labelSize, softInk, draw.XCenter, draw.YCenter), c.Center(), words)
	})
}

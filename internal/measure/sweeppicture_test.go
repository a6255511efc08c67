package measure_test

import (
	"bytes"
	"fmt"
	"image/color"
	"strings"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"topnote/internal/synth"
)

// The picture of a sweep of the H screw: the speed held without load against
// the limit, the share of four-stroking without load and in wood, and the
// verdicts at each load. Richest on the left, as the screw is turned in.

// Colours, by the danger of what they show; each is named on the picture, so
// that nothing hangs on colour alone.
var sweepColours = map[string]color.Color{
	"over-limit":        color.NRGBA{R: 176, G: 36, B: 20, A: 255},
	"at-limit":          color.NRGBA{R: 214, G: 96, B: 60, A: 255},
	"clean-below-limit": color.NRGBA{R: 236, G: 170, B: 80, A: 255},
	"four-stroking":     color.NRGBA{R: 120, G: 190, B: 160, A: 255},
	"rich-in-cut":       color.NRGBA{R: 150, G: 180, B: 220, A: 255},
}

var (
	sweepInk  = color.NRGBA{R: 28, G: 33, B: 38, A: 255}
	sweepRed  = color.NRGBA{R: 176, G: 36, B: 20, A: 255}
	sweepBlue = color.NRGBA{R: 16, G: 70, B: 130, A: 255}
	sweepGrey = color.NRGBA{R: 205, G: 210, B: 215, A: 255} // any other verdict
)

func drawSweep(t *testing.T, all []setting) []byte {
	t.Helper()
	const width, height, dots = 18 * vg.Centimeter, 15 * vg.Centimeter, 150
	steps := len(all) / len(synth.SweepLoads())
	c := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(dots))
	sheet := draw.New(c)
	sheet.FillPolygon(color.White, []vg.Point{{}, {X: width}, {X: width, Y: height}, {Y: height}})
	sheet = draw.Crop(sheet, 0.3*vg.Centimeter, -0.3*vg.Centimeter, 0.3*vg.Centimeter, -0.3*vg.Centimeter)
	panels := [][]*plot.Plot{{sweepSpeeds(t, all[:steps])}, {sweepShares(t, all, steps)}, {sweepVerdicts(all, steps)}}
	tiles := draw.Tiles{Rows: len(panels), Cols: 1, PadY: 0.25 * vg.Centimeter}
	for i, row := range plot.Align(panels, tiles, sheet) {
		panels[i][0].Draw(row[0])
	}
	var out bytes.Buffer
	if _, err := (vgimg.PngCanvas{Canvas: c}).WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// sweepPanel is an empty panel over the settings, richest first.
func sweepPanel(title string, richest int) *plot.Plot {
	p := plot.New()
	sans := font.Font{Typeface: "Liberation", Variant: "Sans"}
	p.Title.Text, p.Title.TextStyle.Font = title, font.From(sans, 10)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font, a.Tick.Label.Font = font.From(sans, 9), font.From(sans, 9)
	}
	p.Legend.TextStyle.Font = font.From(sans, 9)
	p.X.Min, p.X.Max = -float64(richest)-0.5, 0.5 // eighths, negated: rich is on the left
	var ticks []plot.Tick
	for i := 0; i <= richest; i += 2 {
		ticks = append(ticks, plot.Tick{Value: -float64(i), Label: fmt.Sprint(i)})
	}
	p.X.Tick.Marker = plot.ConstantTicks(ticks)
	return p
}

func sweepLine(t *testing.T, points plotter.XYs, c color.Color, dashes ...vg.Length) *plotter.Line {
	t.Helper()
	l, err := plotter.NewLine(points)
	if err != nil {
		t.Fatal(err)
	}
	l.LineStyle = draw.LineStyle{Color: c, Width: 1.5, Dashes: dashes}
	return l
}

func sweepSpeeds(t *testing.T, free []setting) *plot.Plot {
	t.Helper()
	richest := free[0].Eighths
	p := sweepPanel("Speed held without load, rpm, and the limit", richest)
	var held, limit plotter.XYs
	for _, s := range free {
		if s.HeldRPM > 0 {
			held = append(held, plotter.XY{X: -float64(s.Eighths), Y: s.HeldRPM})
		}
	}
	for _, x := range []float64{p.X.Min, p.X.Max} {
		limit = append(limit, plotter.XY{X: x, Y: float64(sweepLimits.Max)})
	}
	dots, err := plotter.NewScatter(held)
	if err != nil {
		t.Fatal(err)
	}
	dots.GlyphStyle = draw.GlyphStyle{Color: sweepBlue, Radius: 2.5, Shape: draw.CircleGlyph{}}
	p.Add(plotter.NewGrid(), sweepLine(t, limit, sweepRed), sweepLine(t, held, sweepBlue), dots)
	return p
}

// sweepShares shows the four-stroking without load and in wood, in percent.
func sweepShares(t *testing.T, all []setting, steps int) *plot.Plot {
	t.Helper()
	p := sweepPanel("Four-stroking, % of the time", all[0].Eighths)
	p.Y.Min, p.Y.Max = 0, 100
	p.Add(plotter.NewGrid())
	for k, load := range synth.SweepLoads() {
		var points plotter.XYs
		for _, s := range all[k*steps : (k+1)*steps] {
			four := &s.Four
			if load > 0 {
				four = s.CutFour
			}
			if four != nil {
				points = append(points, plotter.XY{X: -float64(s.Eighths), Y: 100 * *four})
			}
		}
		l := sweepLine(t, points, sweepInk, [][]vg.Length{nil, {4, 2}, {1, 2}}[k]...)
		p.Add(l)
		p.Legend.Add([]string{"without load", "in the cut, half load", "in the cut, full load"}[k], l)
	}
	p.Legend.Padding, p.Legend.YOffs = 2, 0.9*vg.Centimeter
	return p
}

// sweepVerdicts shows a row of verdicts for each load, each run of the same
// verdict with its name.
func sweepVerdicts(all []setting, steps int) *plot.Plot {
	p := sweepPanel("Verdict, by how the saw was used", all[0].Eighths)
	p.X.Label.Text = "H screw, eighths of a turn out: rich on the left, lean on the right"
	loads := len(synth.SweepLoads())
	p.Y.Min, p.Y.Max = 0, float64(loads)
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 2.5, Label: "no cut"}, {Value: 1.5, Label: "half load"}, {Value: 0.5, Label: "full load"}}
	p.Add(verdictRows{all, steps})
	return p
}

type verdictRows struct {
	all   []setting
	steps int
}

// Plot implements plot.Plotter.
func (v verdictRows) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	words := draw.TextStyle{
		Color: sweepInk, Font: font.From(font.Font{Typeface: "Liberation", Variant: "Sans"}, 7.5),
		XAlign: draw.XCenter, YAlign: draw.YCenter, Handler: plot.DefaultTextHandler,
	}
	for k := range len(v.all) / v.steps {
		row := v.all[k*v.steps : (k+1)*v.steps]
		bottom := float64(len(v.all)/v.steps - 1 - k)
		for from := 0; from < len(row); {
			to := from
			for to < len(row) && row[to].Code == row[from].Code {
				to++
			}
			left, right := x(-float64(row[from].Eighths)-0.5), x(-float64(row[to-1].Eighths)+0.5)
			fill, named := sweepColours[row[from].Code]
			if !named {
				fill = sweepGrey
			}
			c.FillPolygon(fill, []vg.Point{{X: left, Y: y(bottom + 0.04)}, {X: right - 1, Y: y(bottom + 0.04)}, {X: right - 1, Y: y(bottom + 0.96)}, {X: left, Y: y(bottom + 0.96)}})
			style, name := words, row[from].Code
			if style.Width(name) > right-left {
				name = strings.ReplaceAll(name, "-", "-\n")
			}
			if row[from].Code == "over-limit" {
				style.Color = color.White
			}
			c.FillText(style, vg.Point{X: (left + right) / 2, Y: y(bottom + 0.5)}, name)
			from = to
		}
	}
}

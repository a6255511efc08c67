package measure_test

import (
	"bytes"
	"fmt"
	"image/color"
	"image/png"
	"math"
	"os"
	"runtime"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"topnote/internal/engine"
	"topnote/internal/synth"
)

// The pictures of docs/why.md. The curves are those of the simulated saw of package
// synth, revolution by revolution; the carburettor is a drawing.

// TestTeachingPictures holds the pictures to what the program draws;
// `go test ./internal/measure -run Teaching -update` draws them anew.
func TestTeachingPictures(t *testing.T) {
	for name, drawn := range map[string]func(*testing.T) []byte{
		"why-circuits.png": drawCircuits, "why-curve.png": drawCurve, "why-load.png": drawLoad, "why-eighths.png": drawEighths,
	} {
		checkTeaching(t, "../../docs/"+name, drawn(t))
	}
}

// checkTeaching compares a picture with the one in docs. Another processor may round
// the edge of a line otherwise.
func checkTeaching(t *testing.T, place string, drawn []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(place, drawn, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	file, err := os.ReadFile(place)
	if err != nil {
		t.Fatal(err)
	}
	if runtime.GOARCH == "amd64" && !bytes.Equal(file, drawn) {
		t.Errorf("%s is not what the program draws; -update draws it anew", place)
	}
	a, errA := png.DecodeConfig(bytes.NewReader(file))
	b, errB := png.DecodeConfig(bytes.NewReader(drawn))
	if errA != nil || errB != nil || a.Width != b.Width || a.Height != b.Height {
		t.Errorf("%s: %v, %v, %d by %d, now %d by %d", place, errA, errB, a.Width, a.Height, b.Width, b.Height)
	}
}

// teachSheet is a white sheet, in centimetres, that draw fills.
func teachSheet(t *testing.T, width, height float64, fill func(draw.Canvas)) []byte {
	t.Helper()
	const dots = 150
	c := vgimg.NewWith(vgimg.UseWH(vg.Length(width)*vg.Centimeter, vg.Length(height)*vg.Centimeter), vgimg.UseDPI(dots))
	sheet := draw.New(c)
	sheet.FillPolygon(color.White, []vg.Point{{}, {X: sheet.Max.X}, sheet.Max, {Y: sheet.Max.Y}})
	fill(draw.Crop(sheet, 0.3*vg.Centimeter, -0.3*vg.Centimeter, 0.3*vg.Centimeter, -0.3*vg.Centimeter))
	var out bytes.Buffer
	if _, err := (vgimg.PngCanvas{Canvas: c}).WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// stack draws panels below one another, with their axes in line.
func stack(sheet draw.Canvas, panels ...*plot.Plot) {
	rows := make([][]*plot.Plot, len(panels))
	for i, p := range panels {
		rows[i] = []*plot.Plot{p}
	}
	tiles := draw.Tiles{Rows: len(panels), Cols: 1, PadY: 0.3 * vg.Centimeter}
	for i, row := range plot.Align(rows, tiles, sheet) {
		panels[i].Draw(row[0])
	}
}

// teachPanel is an empty panel.
func teachPanel(title string) *plot.Plot {
	p := sweepPanel(title, 10)
	p.X.Tick.Marker = plot.DefaultTicks{}
	return p
}

// wholeTicks are ticks at whole numbers, with commas between thousands.
func wholeTicks(from, to, step int) plot.ConstantTicks {
	var ticks plot.ConstantTicks
	for v := from; v <= to; v += step {
		ticks = append(ticks, plot.Tick{Value: float64(v), Label: engine.FormatWhole(float64(v))})
	}
	return ticks
}

// words writes text at a place of a panel.
type words struct {
	x, y  float64
	text  string
	size  vg.Length
	color color.Color
	align text
}

// text is how words lie about their place.
type text struct {
	x draw.XAlignment
	y draw.YAlignment
}

// Plot implements plot.Plotter.
func (w words) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	c.FillText(teachStyle(w.size, w.color, w.align), vg.Point{X: x(w.x), Y: y(w.y)}, w.text)
}

func teachStyle(size vg.Length, c color.Color, align text) draw.TextStyle {
	if size == 0 {
		size = 9
	}
	if c == nil {
		c = sweepInk
	}
	return draw.TextStyle{
		Color: c, Font: font.From(font.Font{Typeface: "Liberation", Variant: "Sans"}, size),
		XAlign: align.x, YAlign: align.y, Handler: plot.DefaultTextHandler,
	}
}

var (
	centred = text{draw.XCenter, draw.YCenter}
	toRight = text{draw.XLeft, draw.YCenter}
)

// band fills a range of x over the whole height of a panel.
type band struct {
	from, to float64
	fill     color.Color
}

// Plot implements plot.Plotter.
func (b band) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	left, right := max(x(b.from), c.Min.X), min(x(b.to), c.Max.X)
	c.FillPolygon(b.fill, []vg.Point{{X: left, Y: c.Min.Y}, {X: right, Y: c.Min.Y}, {X: right, Y: c.Max.Y}, {X: left, Y: c.Max.Y}})
}

var (
	paleGreen = color.NRGBA{R: 220, G: 240, B: 230, A: 255}
	paleRed   = color.NRGBA{R: 250, G: 222, B: 214, A: 255}
	paleSand  = color.NRGBA{R: 252, G: 240, B: 214, A: 255}
	paleBlue  = color.NRGBA{R: 224, G: 232, B: 244, A: 255}
)

// curvePoint is one mixture of the simulated saw.
type curvePoint struct {
	lean  float64 // percent leaner than at best torque; below 0 richer
	top   float64 // rpm, held without load
	four  float64 // share of four-stroking without load, 0 to 1
	inCut float64 // rpm, in wood
}

// mixtureCurve turns the mixture of the designed saw from very rich to very lean. Each
// is the mean of several passes, since no two are the same.
func mixtureCurve() []curvePoint {
	const best, step, passes = 1.12, 0.0175, 10 // fuel against air, 1 at stoichiometric
	var all []curvePoint
	for rich := 1.42; rich >= 0.72; rich -= step {
		p := curvePoint{lean: 100 * (best - rich) / best}
		for seed := range uint64(passes) {
			run := synth.Tune{Saw: synth.DesignSaw(), Richness: rich, Load: 1, Seed: seed + 1}.Run()
			free, _ := run.Span(synth.FullThrottle)
			p.top += float64(run.Mean(free.From+1, free.To)) / passes
			for every := 2; every <= 4; every++ {
				p.four += run.Share(every, free.From+1, free.To) / passes
			}
			if cut, ok := run.Span(synth.InCut); ok {
				p.inCut += float64(run.Mean(cut.From+1, cut.To)) / passes
			}
		}
		all = append(all, p)
	}
	return all
}

// line gives the points of one figure of the curve.
func line(all []curvePoint, of func(curvePoint) float64) plotter.XYs {
	var points plotter.XYs
	for _, p := range all {
		points = append(points, plotter.XY{X: p.lean, Y: of(p)})
	}
	return points
}

// drawCurve shows speed without load and in wood, and burble, over the mixture.
func drawCurve(t *testing.T) []byte {
	all := mixtureCurve()
	peak, safe := all[0], all[0] // fastest without load; leanest that four-strokes most of the time
	for _, p := range all {
		if p.top > peak.top {
			peak = p
		}
		if p.four >= 0.8 {
			safe = p
		}
	}
	first, last := all[0].lean, all[len(all)-1].lean
	prepare := func(title string) *plot.Plot {
		p := teachPanel(title)
		p.X.Min, p.X.Max = first, last
		p.X.Tick.Marker = wholeTicks(-25, 30, 5)
		p.Add(band{first, safe.lean, paleGreen}, band{safe.lean, peak.lean, paleSand}, band{peak.lean, last, paleRed}, plotter.NewGrid())
		return p
	}
	speed := prepare("Speed, rpm: without load, and in the cut")
	free := sweepLine(t, line(all, func(p curvePoint) float64 { return p.top }), sweepBlue)
	cut := sweepLine(t, line(all, func(p curvePoint) float64 { return p.inCut }), sweepBlue, 4, 2)
	speed.Y.Min, speed.Y.Max = 4000, 15800
	speed.Y.Tick.Marker = wholeTicks(4000, 15000, 2000)
	speed.Add(free, cut,
		words{(first + safe.lean) / 2, 15300, "rich: burbles, safe", 9, nil, centred},
		words{(safe.lean + peak.lean) / 2, 15300, "clean", 9, nil, centred},
		words{(peak.lean + last) / 2, 15300, "past the peak: slower, hot, weak", 9, sweepRed, centred},
		words{peak.lean, peak.top - 550, fmt.Sprintf("peak: %s rpm", engine.FormatTens(peak.top)), 8.5, nil, centred},
		words{first + 2, all[0].top + 1900, "without load", 8.5, sweepBlue, toRight},
		words{first + 3, all[0].inCut - 500, "in the cut", 8.5, sweepBlue, toRight})
	burble := prepare("Four-stroking without load, % of the time")
	burble.Y.Min, burble.Y.Max = 0, 105
	burble.X.Label.Text = "mixture against that of best power, %: rich on the left, lean on the right (simulated saw)"
	burble.Add(sweepLine(t, line(all, func(p curvePoint) float64 { return 100 * p.four }), sweepInk))
	return teachSheet(t, 18, 13, func(c draw.Canvas) { stack(c, speed, burble) })
}

// drawLoad shows one pass of a saw that is set right: it burbles without load, clears
// in the wood, and burbles again.
func drawLoad(t *testing.T) []byte {
	run := synth.Tune{Saw: synth.DesignSaw(), Richness: 1.24, Load: 1, Seed: 3}.Run()
	cut, _ := run.Span(synth.InCut)
	free, _ := run.Span(synth.FullThrottle)
	end := float64(run.Length)
	speed, firing := teachPanel("Speed, rpm"), teachPanel("Fires every ... turn")
	for _, p := range []*plot.Plot{speed, firing} {
		p.X.Min, p.X.Max = 0, end
		p.X.Tick.Marker = wholeTicks(0, int(end), 1)
		p.Add(band{float64(cut.From), float64(cut.To), paleBlue}, plotter.NewGrid())
	}
	var course, every plotter.XYs
	for x := 0.0; x < end; x += 0.02 {
		course = append(course, plotter.XY{X: x, Y: float64(run.SpeedAt(engine.Seconds(x)))})
		if n := run.FiresAt(engine.Seconds(x)); n > 0 && x > float64(free.From) && x < float64(cut.To)+0.9 {
			every = append(every, plotter.XY{X: x, Y: float64(n)})
		}
	}
	dots, err := plotter.NewScatter(every)
	if err != nil {
		t.Fatal(err)
	}
	dots.GlyphStyle = draw.GlyphStyle{Color: sweepBlue, Radius: 1.4, Shape: draw.CircleGlyph{}}
	speed.Y.Min, speed.Y.Max = 0, 15500
	speed.Y.Tick.Marker = wholeTicks(0, 15000, 3000)
	middle := float64(cut.From+cut.To) / 2
	speed.Add(sweepLine(t, course, sweepBlue),
		words{middle, 14500, "in the cut: slower, and clean", 9, nil, centred},
		words{float64(free.From) + 1.5, 14500, "no load: burbles", 9, nil, centred})
	firing.Y.Min, firing.Y.Max = 0.5, 4.5
	firing.Y.Tick.Marker = plot.ConstantTicks{{Value: 1, Label: "1 (clean)"}, {Value: 2, Label: "2"}, {Value: 3, Label: "3"}, {Value: 4, Label: "4"}}
	firing.X.Label.Text = "seconds (simulated saw)"
	firing.Add(dots)
	return teachSheet(t, 18, 11, func(c draw.Canvas) { stack(c, speed, firing) })
}

// drawEighths shows what each eighth of a turn of H does, from a clean engine to a
// rich one.
func drawEighths(t *testing.T) []byte {
	tunes := synth.Sweep(synth.DesignSaw(), 0, sweepLimits, 7)
	var top, four []float64
	const steps, from = 10, 1.05 // richness of the first
	for i := len(tunes) - 1; i >= 0 && len(top) < steps; i-- {
		if tunes[i].Richness < from {
			continue
		}
		speed, share := 0.0, 0.0
		const passes = 6
		for seed := range uint64(passes) {
			tunes[i].Seed = 100 + seed
			run := tunes[i].Run()
			free, _ := run.Span(synth.FullThrottle)
			speed += float64(run.Mean(free.From+1, free.To)) / passes
			for every := 2; every <= 4; every++ {
				share += run.Share(every, free.From+1, free.To) / passes
			}
		}
		top, four = append(top, speed), append(four, share)
	}
	p := teachPanel("H opened by eighths of a turn: speed held without load, rpm, and share of burble")
	p.X.Min, p.X.Max = -0.6, float64(len(top))-0.4
	p.X.Tick.Marker = wholeTicks(0, len(top), 1)
	p.Y.Min, p.Y.Max = math.Floor(top[len(top)-1]/500)*500-500, math.Ceil(top[0]/500)*500+250
	p.Y.Tick.Marker = wholeTicks(int(p.Y.Min), int(p.Y.Max), 500)
	p.X.Label.Text = "eighths of a turn out, from a clean engine (simulated saw)"
	p.Add(plotter.NewGrid())
	for i, v := range top {
		x := float64(i)
		p.Add(sweepLine(t, plotter.XYs{{X: x - 0.4, Y: v}, {X: x + 0.4, Y: v}}, sweepBlue),
			words{x, v - 110, fmt.Sprintf("%.0f %%", 100*four[i]), 8.5, nil, centred})
		if i > 0 {
			p.Add(sweepLine(t, plotter.XYs{{X: x - 0.5, Y: top[i-1]}, {X: x - 0.5, Y: v}}, sweepInk, 2, 2),
				words{x - 0.45, (top[i-1]+v)/2 + 60, engine.FormatTens(v - top[i-1]), 8.5, sweepRed, toRight})
		}
	}
	return teachSheet(t, 18, 9, func(c draw.Canvas) { p.Draw(c) })
}

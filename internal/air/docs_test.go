package air_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"topnote/internal/air"
	"topnote/internal/engine"
)

const docsPage = "../../docs/air.md"

// The worked figures of docs/air.md are between markers and are computed here:
// by the formulas that the page prints, not by the package, so that a reader with a
// pocket calculator gets the same; the figure of the package is beside them and must
// agree. -update rewrites the page.
func TestDocsWorkedExamples(t *testing.T) {
	blocks := map[string]string{
		"bench":   workedBench(t),
		"season":  workedSeason(t),
		"qnh":     workedQNH(t),
		"filter":  workedFilter(t),
		"doubts":  workedDoubts(t),
		"law":     workedLaw(t),
		"reading": workedReadings(),
		"command": fenced(assess(t, "temp=31 rh=60 altitude=850", "temp=8 rh=80 altitude=120", nil)),
	}
	page, err := os.ReadFile(docsPage)
	if err != nil {
		t.Fatal(err)
	}
	text := string(page)
	for name, block := range blocks {
		before, rest, found := strings.Cut(text, "<!-- worked: "+name+" -->\n")
		old, after, closed := strings.Cut(rest, "<!-- end -->")
		if !found || !closed {
			t.Fatalf("%s has no place for %q", docsPage, name)
		}
		if old != block && !*update {
			t.Errorf("%s: %q has\n%s\nworked out again it is\n%s\n-update rewrites it", docsPage, name, old, block)
		}
		text = before + "<!-- worked: " + name + " -->\n" + block + "<!-- end -->" + after
	}
	if *update {
		if err := os.WriteFile(docsPage, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// hand is air worked out with a pocket calculator.
type hand struct {
	kelvin, p, es, e, dry, vapour float64 // p, es, e in hPa; dry, vapour in kg/m3
}

func byHand(temp, rh, p float64) hand {
	h := hand{kelvin: temp + 273.15, p: p, es: 6.112 * math.Exp(17.62*temp/(243.12+temp))}
	h.e = rh / 100 * h.es
	h.dry = 100 * (h.p - h.e) / (287.058 * h.kelvin)
	h.vapour = 100 * h.e / (461.495 * h.kelvin)
	return h
}

func (h hand) moist() float64 { return h.dry + h.vapour }

// steps is a calculation, one step a line.
type steps struct{ strings.Builder }

// add writes "name = formula = value" with the equals signs in columns.
func (s *steps) add(name, formula, value string) {
	fmt.Fprintf(s, "%-7s = %-44s = %s\n", name, formula, value)
}

// block gives the steps as a block of code.
func (s *steps) block() string { return "```\n" + s.String() + "```\n" }

// humid adds the steps from temperature and humidity to the density.
func (s *steps) humid(h hand, temp, rh float64) {
	s.add("T", fmt.Sprintf("%g + 273.15", temp), fmt.Sprintf("%.2f K", h.kelvin))
	s.add("es", fmt.Sprintf("6.112 exp(17.62 x %g/(243.12 + %g))", temp, temp), fmt.Sprintf("%.2f hPa", h.es))
	s.add("e", fmt.Sprintf("%.2f x %.2f", rh/100, h.es), fmt.Sprintf("%.2f hPa", h.e))
	s.add("dry", fmt.Sprintf("100 (%.2f - %.2f)/(287.058 x %.2f)", h.p, h.e, h.kelvin), fmt.Sprintf("%.4f kg/m3", h.dry))
	s.add("vapour", fmt.Sprintf("100 x %.2f/(461.495 x %.2f)", h.e, h.kelvin), fmt.Sprintf("%.4f kg/m3", h.vapour))
	s.add("moist", fmt.Sprintf("%.4f + %.4f", h.dry, h.vapour), fmt.Sprintf("%.4f kg/m3", h.moist()))
}

func standardByHand(h float64) float64 { return 1013.25 * math.Pow(1-h/44330.8, 5.25588) }

// agree holds the package to the figure of the page.
func agree(t *testing.T, what string, got, hand, tol float64) {
	t.Helper()
	if !near(got, hand, tol) {
		t.Errorf("%s: the package has %.5f, by hand %.5f", what, got, hand)
	}
}

func workedBench(t *testing.T) string {
	t.Helper()
	h := byHand(20, 50, 1013.25)
	a := reading(t, "temp=20 rh=50 altitude=0")
	agree(t, "density", float64(a.Density)/h.moist(), 1, 6e-4)
	height := 44330.8 * (1 - math.Pow(h.moist()/1.225, 0.234969))
	agree(t, "density altitude", float64(a.DensityAltitude), height, 6)
	var c steps
	c.add("p", "the standard atmosphere at 0 m", "1013.25 hPa")
	c.humid(h, 20, 50)
	c.add("height", fmt.Sprintf("44330.8 (1 - (%.4f/1.225)^0.234969)", h.moist()), fmt.Sprintf("%.0f m", height))
	return c.block() + fmt.Sprintf("\nThe program, with CIPM-2007, has %.4f kg/m3, %.4f of it dry, and a density\naltitude of %.0f m.\n",
		a.Density, a.DryDensity, a.DensityAltitude)
}

func workedSeason(t *testing.T) string {
	t.Helper()
	pThen, pNow := standardByHand(120), standardByHand(850)
	then, now := byHand(8, 80, pThen), byHand(31, 60, pNow)
	shift := 100 * (now.dry/then.dry*math.Sqrt(then.moist()/now.moist()) - 1)
	s := assess(t, "temp=31 rh=60 altitude=850", "temp=8 rh=80 altitude=120", nil).Shift
	agree(t, "shift", float64(s.Mixture), shift, 0.05)
	var c, d, e steps
	c.add("p", "1013.25 (1 - 120/44330.8)^5.25588", fmt.Sprintf("%.2f hPa", pThen))
	c.humid(then, 8, 80)
	d.add("p", "1013.25 (1 - 850/44330.8)^5.25588", fmt.Sprintf("%.2f hPa", pNow))
	d.humid(now, 31, 60)
	lessAir, lessFuel := now.dry/then.dry, math.Sqrt(now.moist()/then.moist())
	e.add("air", fmt.Sprintf("%.4f/%.4f", now.dry, then.dry), fmt.Sprintf("%.4f of the dry air of then", lessAir))
	e.add("fuel", fmt.Sprintf("root of %.4f/%.4f", now.moist(), then.moist()), fmt.Sprintf("%.4f of the fuel of then", lessFuel))
	e.add("shift", fmt.Sprintf("%.4f/%.4f - 1", lessAir, lessFuel), fmt.Sprintf("%.1f %%", shift))
	return "Then:\n\n" + c.block() + "\nNow:\n\n" + d.block() + "\nThe shift:\n\n" + e.block() +
		fmt.Sprintf("\nThe program has %.1f %%.\n", s.Mixture)
}

func workedQNH(t *testing.T) string {
	t.Helper()
	sea := 44330.8 * (1 - math.Pow(1021/1013.25, 0.190263))
	p := standardByHand(sea + 850)
	a := reading(t, "temp=31 rh=60 altitude=850 qnh=1021")
	agree(t, "pressure", a.Pressure.Hectopascal(), p, 0.02)
	var c steps
	c.add("sea", "44330.8 (1 - (1021/1013.25)^0.190263)", fmt.Sprintf("%.1f m", sea))
	c.add("p", fmt.Sprintf("1013.25 (1 - (%.1f + 850)/44330.8)^5.25588", sea), fmt.Sprintf("%.1f hPa", p))
	return c.block() + fmt.Sprintf("\nThe program has %.1f hPa.\n", a.Pressure.Hectopascal())
}

func workedFilter(t *testing.T) string {
	t.Helper()
	const drop, pressure, speed = 5.0, 1013.25, 80.0
	venturi := 1.199 * speed * speed / 2 / 100
	r := 1 - drop/pressure
	fuel := math.Sqrt(r + drop/venturi)
	open, behind := 100*(r/fuel-1), 100*(math.Sqrt(r)-1)
	f := assess(t, "temp=20 rh=50 altitude=0", "", &air.Filter{Drop: new(engine.FromHectopascal(drop))}).Filter
	agree(t, "vented to open air", float64(f.Open), open, 0.02)
	agree(t, "vented behind the filter", float64(f.Behind), behind, 0.01)
	var c steps
	c.add("venturi", "1.199 x 80 x 80/2/100", fmt.Sprintf("%.1f hPa", venturi))
	c.add("r", "1 - 5/1013.25", fmt.Sprintf("%.4f of the air", r))
	c.add("fuel", fmt.Sprintf("root of %.4f + 5/%.1f", r, venturi), fmt.Sprintf("%.4f of the fuel", fuel))
	c.add("shift", fmt.Sprintf("%.4f/%.4f - 1", r, fuel), fmt.Sprintf("%.1f %%", open))
	c.add("behind", fmt.Sprintf("root of %.4f - 1", r), fmt.Sprintf("%.1f %%", behind))
	return c.block() + fmt.Sprintf("\nThe program has %.1f %% and %.1f %%.\n", f.Open, f.Behind)
}

// workedDoubts derives the deviation of the season's shift.
func workedDoubts(t *testing.T) string {
	t.Helper()
	o := air.Default()
	s := assess(t, "temp=31 rh=60 altitude=850", "temp=8 rh=80 altitude=120", nil).Shift
	readings := o
	readings.LawSD, readings.FuelSD, readings.FloorSD = 0, 0, 0
	now, then := reading(t, "temp=31 rh=60 altitude=850"), reading(t, "temp=8 rh=80 altitude=120")
	fromReadings := air.Compare(now, then, readings).SD
	law := o.LawSD * math.Abs(float64(s.Mixture))
	degrees := float64(now.Temp - then.Temp)
	fuel := float64(o.FuelSD) * degrees
	sum := math.Sqrt(law*law + fuel*fuel + float64(o.FloorSD*o.FloorSD+fromReadings*fromReadings))
	agree(t, "deviation", float64(s.SD), sum, 1e-9)
	var c steps
	c.add("law", fmt.Sprintf("%.2f x %.1f %%", o.LawSD, math.Abs(float64(s.Mixture))), fmt.Sprintf("%.2f %%", law))
	c.add("fuel", fmt.Sprintf("%g %% x %g °C", o.FuelSD, degrees), fmt.Sprintf("%.2f %%", fuel))
	c.add("floor", "whatever the shift", fmt.Sprintf("%.2f %%", o.FloorSD))
	c.add("reading", "both airs, pressure from height", fmt.Sprintf("%.2f %%", fromReadings))
	c.add("sd", "root of the sum of their squares", fmt.Sprintf("%.1f %%", sum))
	return c.block()
}

// workedReadings lists what is taken of each reading.
func workedReadings() string {
	o := air.Default()
	var b strings.Builder
	for _, line := range []string{
		fmt.Sprintf("temperature %g °C; dew point %g °C", o.TempSD, o.DewPointSD),
		fmt.Sprintf("humidity %g points; %g where none was given and %g %% is assumed", o.RHSD, o.AssumedRHSD, o.AssumedRH),
		fmt.Sprintf("pressure on the spot %g hPa; from QNH %g hPa", o.PressureSD.Hectopascal(), o.QNHSD.Hectopascal()),
		fmt.Sprintf("where only the height is known, %g hPa of weather, and more higher up", o.WeatherSD.Hectopascal()),
		fmt.Sprintf("height %g m", o.AltitudeSD),
	} {
		b.WriteString("  - " + line + "\n")
	}
	return b.String()
}

// workedLaw lists what each known departure makes of the example's shift.
func workedLaw(t *testing.T) string {
	t.Helper()
	now, since := reading(t, "temp=31 rh=60 altitude=850"), reading(t, "temp=8 rh=80 altitude=120")
	m := float64(air.MixtureShift(now.State, since.State))
	var b strings.Builder
	for _, d := range departures(now, since) {
		fmt.Fprintf(&b, "  - %s: %.1f %% instead of %.1f %%\n", d.name, d.shift, m)
	}
	return b.String()
}

func fenced(r air.Result) string {
	var b bytes.Buffer
	if err := r.WriteText(&b, air.Metric, false); err != nil {
		return err.Error()
	}
	return "```\n" + b.String() + "```\n"
}

package air_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"topnote/internal/air"
	"topnote/internal/engine"
)

func TestParseQuantities(t *testing.T) {
	t.Parallel()
	temp := func(s string) (float64, error) { v, err := air.ParseTemp(s); return float64(v), err }
	height := func(s string) (float64, error) { v, err := air.ParseAltitude(s); return float64(v), err }
	pressure := func(s string) (float64, error) { v, err := air.ParsePressure(s); return v.Hectopascal(), err }
	tests := []struct {
		parse func(string) (float64, error)
		text  string
		want  float64
		tol   float64
	}{
		{temp, "31", 31, 0}, {temp, "31C", 31, 0}, {temp, "31 °C", 31, 0}, {temp, "-5.5c", -5.5, 0}, {temp, "+7", 7, 0},
		{temp, "\u22125", -5, 0}, {temp, ".5", 0.5, 0}, {temp, "8.", 8, 0}, {temp, "  8  ", 8, 0},
		{temp, "88F", 31.111, 0.001}, {temp, "32f", 0, 1e-12}, {temp, "-40°F", -40, 1e-12}, {temp, "288.15K", 15, 1e-9},
		{height, "850", 850, 0}, {height, "850m", 850, 0}, {height, "2800ft", 853.44, 1e-9}, {height, "2800 FT", 853.44, 1e-9}, {height, "-20m", -20, 0},
		{pressure, "1013", 1013, 1e-9}, {pressure, "1013hPa", 1013, 1e-9}, {pressure, "1013 mbar", 1013, 1e-9}, {pressure, "1013mb", 1013, 1e-9},
		{pressure, "101325Pa", 1013.25, 1e-9}, {pressure, "101.325kPa", 1013.25, 1e-9},
		{pressure, "29.92inHg", 1013.21, 0.005}, {pressure, "760mmHg", 1013.25, 0.001}, {pressure, "4inH2O", 9.964, 0.001},
	}
	for _, tt := range tests {
		if got, err := tt.parse(tt.text); err != nil || !near(got, tt.want, tt.tol) {
			t.Errorf("%q: got %v, %v; want %v", tt.text, got, err, tt.want)
		}
	}
	for _, text := range []string{
		"", " ", "warm", "C", "31X", "31 C F", "3 1", "1e3", "0x1F", "nan", "NaN", "inf", "-inf", "--5", "31,5", "1_000", "31C31",
		strings.Repeat("9", 400), "٣", "5\x00", "5\n6",
	} {
		for name, parse := range map[string]func(string) (float64, error){"temperature": temp, "height": height, "pressure": pressure} {
			var problem *air.Problem
			if got, err := parse(text); !errors.As(err, &problem) {
				t.Errorf("%q as a %s: got %v, %v; want a Problem", text, name, got, err)
			}
		}
	}
}

// refusedReadings are entries that cannot be used, and part of what is said of each.
func refusedReadings() []struct{ text, says string } {
	return []struct{ text, says string }{
		{"", "is empty"},
		{"temp", "no = between"},
		{"temp= 8", "is no temperature"},
		{"temp=8 8", "no = between"},
		{"temp=8,5 rh=50 altitude=0", "is no temperature"},
		{"warmth=8", "is no figure of the air"},
		{"temp=8 temp=9", "given twice"},
		{"temp=8 rh=50%% altitude=0", "is no relative humidity"},
		{"temp=8 rh=0.8 altitude=0", "looks like a share"},
		{"rh=50 altitude=0", "temperature is missing"},
		{"temp=8 rh=50", "neither a height nor a pressure"},
		{"temp=8 qnh=1013", "without the height"},
		{"temp=8 rh=50 dew-point=3 altitude=0", "both say how humid"},
		{"temp=8 altitude=0 pressure=1013 qnh=1013", "were both given"},
		{"temp=88 altitude=0", "88 °C is outside -40 °C to 60 °C"},
		{"temp=-41 altitude=0", "is outside -40 °C"},
		{"temp=300K altitude=9000 rh=101", "101 % is outside 0 to 100 %"},
		{"temp=20 rh=-1 altitude=0", "-1 % is outside"},
		{"temp=20 altitude=9001", "9,001 m is outside -1,000 m to 9,000 m"},
		{"temp=20 altitude=-1001", "is outside -1,000 m"},
		{"temp=20 altitude=40000ft", "12,192 m is outside"},
		{"temp=20 pressure=29.92", "29.9 hPa is outside"},
		{"temp=20 pressure=1013kPa", "10130 hPa is outside"},
		{"temp=20 altitude=0 qnh=29.92", "(qnh) of 29.9 hPa is outside"},
		{"temp=20 altitude=0 dew-point=20.5", "20.5 °C, is above the temperature, 20 °C"},
		{"temp=20 altitude=0 dew-point=-70", "-70 °C is outside"},
		{"temp=20 altitude=850 pressure=1013", "1013 hPa is not found at 850 m"},
		{"temp=20 altitude=0 pressure=800", "800 hPa is not found at 0 m"},
		{"temp=55 altitude=9000", "thinner than any"},
		{strings.Repeat("temp=8 ", 200), "too long"},
		{"temp=" + strings.Repeat("9", 400) + " altitude=0", "is no temperature"},
	}
}

// Each kind of entry that cannot be used gets its own sentence.
func TestReadingRefuses(t *testing.T) {
	t.Parallel()
	for _, tt := range refusedReadings() {
		r, err := air.ParseReading(tt.text)
		if err == nil {
			_, err = r.Air(air.Default())
		}
		var problem *air.Problem
		if !errors.As(err, &problem) {
			t.Errorf("%.60q: got %v, want a Problem", tt.text, err)
			continue
		}
		if !strings.Contains(problem.Says, tt.says) {
			t.Errorf("%.60q: says %q, want %q in it", tt.text, problem.Says, tt.says)
		}
		checkSentence(t, problem)
	}
}

// checkSentence holds a Problem to its form: two halves of one sentence that
// fits a few lines and shows no control character.
func checkSentence(t *testing.T, p *air.Problem) {
	t.Helper()
	for _, half := range []string{p.Says, p.Do} {
		if half == "" || len(half) > 300 || strings.HasSuffix(half, ".") || strings.ContainsAny(half, "\n\x00\x1b") {
			t.Errorf("not half a sentence: %q", half)
		}
	}
	if got, want := p.Error(), "air: "+p.Says+"; "+p.Do; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A reading built by a program goes through the same door.
func TestReadingRefusesNaN(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	good := air.Reading{Temp: new(engine.Celsius(20)), Altitude: new(engine.Metre(100))}
	if _, err := good.Air(air.Default()); err != nil {
		t.Fatal(err)
	}
	spoil := map[string]func(*air.Reading){
		"temp":      func(r *air.Reading) { r.Temp = new(engine.Celsius(nan)) },
		"rh":        func(r *air.Reading) { r.RH = new(engine.Percent(nan)) },
		"dew point": func(r *air.Reading) { r.DewPoint = new(engine.Celsius(nan)) },
		"altitude":  func(r *air.Reading) { r.Altitude = new(engine.Metre(nan)) },
		"pressure":  func(r *air.Reading) { r.Pressure = new(engine.Pascal(nan)) },
		"qnh":       func(r *air.Reading) { r.QNH = new(engine.Pascal(nan)) },
		"infinite":  func(r *air.Reading) { r.Altitude = new(engine.Metre(math.Inf(1))) },
	}
	for name, f := range spoil {
		r := good
		f(&r)
		var problem *air.Problem
		if a, err := r.Air(air.Default()); !errors.As(err, &problem) {
			t.Errorf("%s: got %+v, %v; want a Problem", name, a.State, err)
		}
	}
}

func TestReadingAir(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text     string
		pressure float64 // hPa
		rh       engine.Percent
		tol      float64
		source   string
	}{
		{"temp=20 rh=50 altitude=1000", 898.746, 50, 0.0005, "ISO 2533:1975"},
		{"temp=20 rh=50 pressure=898.7", 898.7, 50, 1e-9, "as given"},
		{"temp=20 rh=50 altitude=1000 pressure=900", 900, 50, 1e-9, "measured on the spot counts"},
		{"temp=20 rh=50 altitude=1000m qnh=1013.25", 898.746, 50, 0.0005, "ISO 2533:1975"},
		{"temp=20 rh=50 altitude=0 qnh=29.92inHg", 1013.21, 50, 0.005, "ICAO: 29.92 inHg"},
		{"TEMP=68F rh=50% altitude=0ft", 1013.25, 50, 1e-9, "names in any case"},
		{"temp=20 dew-point=10 altitude=0", 1013.25, 52.50, 0.05, "IAPWS table"},
		{"temp=20 dew-point=20 altitude=0", 1013.25, 100, 1e-9, "definition of the dew point"},
		{"temp=20 altitude=0", 1013.25, air.Default().AssumedRH, 1e-9, "assumed"},
		{"temp=20 rh=0 altitude=-1000", 1139.29, 0, 0.005, "ISO 2533:1975, by its formula: 1013.25 (1 + 6.5/288.15)^5.25588"},
	}
	for _, tt := range tests {
		a := reading(t, tt.text)
		if !near(a.Pressure.Hectopascal(), tt.pressure, tt.tol) || !near(float64(a.RH), float64(tt.rh), tt.tol) {
			t.Errorf("%s: got %.3f hPa and %.3f %%, want %v and %v (%s)", tt.text, a.Pressure.Hectopascal(), a.RH, tt.pressure, tt.rh, tt.source)
		}
		if a.Density != air.Density(a.State) || a.DryDensity != air.DryDensity(a.State) {
			t.Errorf("%s: densities %v and %v do not fit %+v", tt.text, a.Density, a.DryDensity, a.State)
		}
		if a.SD.Temp <= 0 || a.SD.Pressure <= 0 || a.SD.RH <= 0 {
			t.Errorf("%s: deviations %+v, want all above 0", tt.text, a.SD)
		}
	}
}

// How well the pressure is known depends on where it comes from.
func TestPressureSD(t *testing.T) {
	t.Parallel()
	measured := reading(t, "temp=20 rh=50 pressure=900").SD.Pressure
	qnh := reading(t, "temp=20 rh=50 altitude=1000 qnh=1013").SD.Pressure
	low := reading(t, "temp=20 rh=50 altitude=0").SD.Pressure
	high := reading(t, "temp=20 rh=50 altitude=3000").SD.Pressure
	if !(measured < qnh && qnh < low && low < high) {
		t.Errorf("measured %v, QNH %v, height at 0 m %v, at 3000 m %v: want rising", measured, qnh, low, high)
	}
	// At sea level 20 m are 1.2 kg/m3 x 9.81 m/s2 x 20 m = 235 Pa beside 800 Pa.
	if !near(low, engine.Pascal(math.Hypot(800, 235)), 3) {
		t.Errorf("at sea level %v Pa, worked by hand 834", low)
	}
}

func FuzzParseReading(f *testing.F) {
	for _, seed := range []string{
		"temp=8 rh=80 altitude=120", "temp=46F dew-point=40F altitude=390ft qnh=30.05inHg", "temp=20 pressure=1013hPa",
		"temp=nan", "temp=8 rh=0.5", "=", "temp=", "temp=8=9", "rh=1e309 temp=-0", "altitude=\u221220m temp=.5 rh=5.", "qnh=\x1b[2J",
		"temp=20 rh=50 altitude=1000 pressure=900",
	} {
		f.Add(seed)
	}
	o := air.Default()
	f.Fuzz(func(t *testing.T, text string) {
		r, err := air.ParseReading(text)
		var problem *air.Problem
		if err != nil {
			if !errors.As(err, &problem) {
				t.Fatalf("%v is no Problem", err)
			}
			checkSentence(t, problem)
			return
		}
		again, err := air.ParseReading(r.String())
		if err != nil || again.String() != r.String() {
			t.Fatalf("%q came back as %q, %v", r, again, err)
		}
		a, err := r.Air(o)
		if err != nil {
			if !errors.As(err, &problem) {
				t.Fatalf("%v is no Problem", err)
			}
			checkSentence(t, problem)
			return
		}
		if !(a.Density > 0.3 && a.Density < 2 && a.DryDensity > 0 && a.DryDensity <= a.Density) || a.RH < 0 || a.RH > 100 {
			t.Fatalf("%q gave %+v", text, a)
		}
	})
}

// FuzzParseFigures: each single figure of a reading is a number, or one sentence
// says why it is none.
func FuzzParseFigures(f *testing.F) {
	for _, seed := range []string{"31", "88F", "-40", "304 K", "2800ft", "29.92inHg", "4inH2O", "1e309", "NaN", "\u221220", "us", "1.2.3", "\x00"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		temp, errTemp := air.ParseTemp(text)
		height, errHeight := air.ParseAltitude(text)
		pressure, errPressure := air.ParsePressure(text)
		_, errUnits := air.ParseUnits(text)
		for _, figure := range []struct {
			v   float64
			err error
		}{{float64(temp), errTemp}, {float64(height), errHeight}, {float64(pressure), errPressure}, {0, errUnits}} {
			var problem *air.Problem
			switch {
			case figure.err == nil && (math.IsNaN(figure.v) || math.IsInf(figure.v, 0)):
				t.Errorf("%q was read as %v", text, figure.v)
			case figure.err == nil:
			case !errors.As(figure.err, &problem):
				t.Errorf("%q: %v is no Problem", text, figure.err)
			default:
				checkSentence(t, problem)
			}
		}
	})
}

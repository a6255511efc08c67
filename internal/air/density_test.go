package air_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/air"
	"topnote/internal/engine"
)

func TestDensityCIPM2007(t *testing.T) {
	t.Parallel()
	// Worked in Python from the constants of CIPM-2007,
	// which three independent programs print alike. Relative tolerance 1e-5.
	tests := []struct {
		t    engine.Celsius
		p    engine.Pascal
		rh   engine.Percent
		want engine.KilogramPerCubicMetre
	}{
		{20, 101325, 50, 1.199314},
		{20, 101325, 0, 1.204557},
		{20, 101325, 100, 1.194087},
		{15, 101325, 0, 1.225521},
		{25, 101325, 50, 1.177315},
		{27, 101325, 50, 1.168578},
		{20, 100000, 50, 1.183557},
		{15, 95000, 50, 1.145101},
		{20, 75000, 50, 0.886277},
		{30, 101325, 80, 1.150012},
	}
	for _, tt := range tests {
		got := air.Density(air.State{Temp: tt.t, Pressure: tt.p, RH: tt.rh})
		if !near(got/tt.want, 1, 1e-5) {
			t.Errorf("%v C, %v Pa, %v %%: got %.6f, want %.6f", tt.t, tt.p, tt.rh, got, tt.want)
		}
	}
	// The figure often quoted for the first row is that of the older formula.
	const cipm8191 = 1.1992
	if got := air.Density(air.State{Temp: 20, Pressure: 101325, RH: 50}); math.Round(float64(got)*1e4)/1e4 == cipm8191 {
		t.Errorf("%.6f is the CIPM-81/91 value", got)
	}
}

// Figures printed by others, by CIPM-2007 and by other formulas.
func TestDensityPublished(t *testing.T) {
	t.Parallel()
	tests := []struct {
		t      engine.Celsius
		mmHg   float64
		rh     engine.Percent
		want   engine.KilogramPerCubicMetre
		rel    engine.KilogramPerCubicMetre
		source string
	}{
		{10, 730, 40, 1.1957, 5e-5, "handbook of mass metrology, appendix p. 205: 1.19569, kept to 4 digits in the tests of an R package on air density"},
		{40, 760, 40, 1.1150, 5e-5, "the same, 1.11497"},
		{22.3, 748.1, 37, 1.17194, 2e-4, "NIST mass handbook, appendix B example 1, by the formula of Jones 1978"},
		{23.4, 612.3, 23, 0.95632, 2e-4, "the same, example 3"},
		{25, 760, 40, 1.1787, 2e-4, "CIPM short form, tests of the same R package"},
		{20, 760, 0, 1.2046, 1e-4, "dry air at 20 C and one atmosphere: p M/(Z R T) of CIPM-2007 by hand, Z = 0.99962"},
	}
	for _, tt := range tests {
		got := air.Density(air.State{Temp: tt.t, Pressure: engine.FromMillimetreHg(tt.mmHg), RH: tt.rh})
		if !near(got/tt.want, 1, tt.rel) {
			t.Errorf("%v C, %v mmHg, %v %%: got %.5f, want %v within %v (%s)", tt.t, tt.mmHg, tt.rh, got, tt.want, tt.rel, tt.source)
		}
	}
}

// idealGas is two ideal gases side by side with the vapour pressure of the WMO
// guide (Sonntag 1990): another way to the same figures.
func idealGas(s air.State) (moist, dry engine.KilogramPerCubicMetre) {
	const gasDry, gasVapour = 287.058, 461.495 // J/(kg K)
	e := float64(s.RH) / 100 * 611.2 * math.Exp(17.62*float64(s.Temp)/(243.12+float64(s.Temp)))
	dry = engine.KilogramPerCubicMetre((float64(s.Pressure) - e) / (gasDry * s.Temp.Kelvin()))
	return dry + engine.KilogramPerCubicMetre(e/(gasVapour*s.Temp.Kelvin())), dry
}

func TestIdealGasOfThisTest(t *testing.T) {
	t.Parallel()
	moist, dry := idealGas(air.State{Temp: 20, Pressure: 101325, RH: 50})
	if !near(moist, 1.19885, 5e-6) || !near(dry, 1.19023, 5e-6) {
		t.Errorf("got %v moist and %v dry; worked by hand 1.19885 and 1.19023", moist, dry)
	}
}

// Outside the range for which CIPM-2007 was made it must be close to two ideal gases:
// 0.15 % of the moist and 0.2 % of the dry density. A shift goes as the dry density
// over the root of the moist one, so that it moves by at most 0.2 + 0.15/2 %, about half of
// what counts as no change (Options.Same).
func TestDensityAgainstIdealGas(t *testing.T) {
	t.Parallel()
	for temp := engine.Celsius(-40); temp <= 40; temp += 5 {
		for _, p := range []engine.Pascal{60000, 80000, 101325, 105000} {
			for _, rh := range []engine.Percent{0, 50, 100} {
				s := air.State{Temp: temp, Pressure: p, RH: rh}
				moist, dry := idealGas(s)
				if !near(air.Density(s)/moist, 1, 1.5e-3) || !near(air.DryDensity(s)/dry, 1, 2e-3) {
					t.Errorf("%+v: CIPM %.5f and %.5f, ideal %.5f and %.5f", s, air.Density(s), air.DryDensity(s), moist, dry)
				}
			}
		}
	}
}

// The short form of NISTIR 6969, SOP 2, within its own 2e-4.
func TestDensityAgainstShortForm(t *testing.T) {
	t.Parallel()
	for temp := 15.0; temp <= 27; temp += 2 {
		for _, rh := range []float64{20, 50, 80} {
			short := (0.34848*1000 - 0.009*rh*math.Exp(0.061*temp)) / (273.15 + temp)
			got := air.Density(air.State{Temp: engine.Celsius(temp), Pressure: 100000, RH: engine.Percent(rh)})
			if !near(float64(got)/short, 1, 2e-4) {
				t.Errorf("%v C, %v %%: CIPM-2007 %.5f, short form %.5f", temp, rh, got, short)
			}
		}
	}
}

func TestSaturationPressure(t *testing.T) {
	t.Parallel()
	tests := []struct {
		t      engine.Celsius
		want   float64 // hPa
		rel    float64
		source string
	}{
		{0, 6.1121, 1e-4, "IAPWS (Wagner and Pruss 2002)"},
		{10, 12.2811, 1e-4, "IAPWS"},
		{20, 23.3919, 1e-4, "IAPWS"},
		{30, 42.4692, 1e-4, "IAPWS"},
		{40, 73.8511, 1e-4, "IAPWS"},
		{-10, 2.8652, 2e-5, "CIPM-2007 worked in Python"},
		{40, 73.8482, 2e-5, "CIPM-2007 worked in Python"},
		{10, 12.27, 2e-3, "table in a JPL report on noise temperature of clouds, 2005, p. 18"},
		{15, 17.04, 2e-3, "the same"},
		{20, 23.37, 2e-3, "the same"},
		{30, 42.43, 2e-3, "the same"},
		{40, 73.78, 2e-3, "the same"},
		{25, 31.652, 2e-3, "Goff and Gratch 1946, on a page that compares formulas"},
		{-10, 2.8703, 4e-3, "WMO guide (Sonntag 1990)"},
		{0, 6.1120, 4e-3, "WMO guide"},
		{20, 23.3260, 4e-3, "WMO guide"},
		{40, 73.6746, 4e-3, "WMO guide"},
		{-10, 2.8677, 4e-3, "Alduchov and Eskridge 1996; Bolton 1980 alike"},
		{20, 23.3695, 4e-3, "Bolton 1980"},
		{40, 73.9490, 4e-3, "Bolton 1980"},
		{20, 23.3834, 4e-3, "Buck 1996"},
		{0.01, 6.11657, 1e-4, "triple point of water, 611.657 Pa (Guildner 1976)"},
	}
	for _, tt := range tests {
		if got := air.SaturationPressure(tt.t).Hectopascal(); !near(got/tt.want, 1, tt.rel) {
			t.Errorf("%v C: got %.4f hPa, want %v within %v (%s)", tt.t, got, tt.want, tt.rel, tt.source)
		}
	}
}

func TestHumidityFromDewPoint(t *testing.T) {
	t.Parallel()
	tests := []struct {
		t, dew engine.Celsius
		want   engine.Percent
		tol    engine.Percent
		source string
	}{
		{20, 20, 100, 1e-9, "definition of the dew point"},
		{20, 10, 52.50, 0.05, "IAPWS table, 12.2811/23.3919"},
		{30, 20, 55.08, 0.05, "IAPWS table, 23.3919/42.4692"},
		{40, 0, 8.276, 0.02, "IAPWS table, 6.1121/73.8511"},
		{22, 17.98, 78, 0.4, "worked example with the Magnus formula, dew point within 0.4 C by its own word, here 0.05"},
	}
	for _, tt := range tests {
		if got := air.Humidity(tt.t, tt.dew, 101325); !near(got, tt.want, tt.tol) {
			t.Errorf("%v C, dew point %v C: got %.3f %%, want %v (%s)", tt.t, tt.dew, got, tt.want, tt.source)
		}
	}
}

func TestDensityAltitude(t *testing.T) {
	t.Parallel()
	const ideal = "two ideal gases, worked in Python; CIPM-2007 is 0.05 % denser, 5 m lower"
	tests := []struct {
		s      air.State
		want   engine.Metre
		tol    engine.Metre
		source string
	}{
		{air.State{Temp: 30, Pressure: 101325, RH: 50}, 607, 8, ideal},
		{air.State{Temp: 30, Pressure: 101325, RH: 90}, 673, 8, ideal},
		{air.State{Temp: 35, Pressure: 101325, RH: 20}, 737, 8, ideal},
		{air.State{Temp: -10, Pressure: 101325, RH: 80}, -946, 10, ideal},
		{air.State{Temp: 30, Pressure: 89874.6, RH: 50}, 1832, 8, ideal},
		{air.State{Temp: 25, Pressure: 79495.2, RH: 30}, 2835, 8, ideal},
	}
	for _, tt := range tests {
		if got := must(air.DensityAltitude(air.Density(tt.s)))(t); !near(got, tt.want, tt.tol) {
			t.Errorf("%+v: got %.0f m, want %v (%s)", tt.s, got, tt.want, tt.source)
		}
	}
}

// The weather service's formula works in inches and degrees Rankine with its own
// constants and a virtual temperature. Source: formula sheet "Density Altitude"
// of the US National Weather Service.
func TestDensityAltitudeAgainstWeatherService(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ temp, dew, hPa float64 }{
		{30, 18.4, 1013.25}, {31.6, 20, 985.1}, {-5, -8, 1025}, {25, 6, 850}, {18, 10, 780},
	} {
		e := 6.11 * math.Pow(10, 7.5*tt.dew/(237.7+tt.dew))
		virtual := (tt.temp + 273.15) / (1 - e/tt.hPa*(1-0.622))
		rankine := 9./5*(virtual-273.15) + 32 + 459.69
		want := engine.FromFoot(145366 * (1 - math.Pow(17.326*tt.hPa*0.02953/rankine, 0.235)))

		p := engine.FromHectopascal(tt.hPa)
		s := air.State{Temp: engine.Celsius(tt.temp), Pressure: p, RH: air.Humidity(engine.Celsius(tt.temp), engine.Celsius(tt.dew), p)}
		if got := must(air.DensityAltitude(air.Density(s)))(t); !near(got, want, 15) { // its constants have three digits: 0.15 % of density
			t.Errorf("%+v: got %.0f m, the weather service's formula %.0f m", tt, got, want)
		}
	}
}

// Examples that pilots are taught, by the rule of 120 ft for each degree. The
// rule reads up to 260 ft high against dry air, so 300 ft are allowed.
func TestDensityAltitudePublishedExamples(t *testing.T) {
	t.Parallel()
	tests := []struct {
		pressureFt, want float64
		temp             engine.Celsius
		exact            float64 // dry air, worked in Python
		source           string
	}{
		{5000, 8000, 30, 7801, "a pilots' association's safety page"},
		{5470, 9070, 35, 8895, "worked page, standard temperature taken at 5000 ft"},
		{4750, 7750, 30, 7498, "pilots' forum"},
		{1800, 2880, 20, 2797, "theory course page, standard temperature rounded to 11 C"},
		{6027, 7467, 15, 7407, "worked page, standard temperature 3 C"},
		{520, 2932, 35, 0, "training module on weather at sea, 520 ft and 35 C"},
	}
	for _, tt := range tests {
		s := air.State{Temp: tt.temp, Pressure: must(air.PressureAt(engine.FromFoot(tt.pressureFt)))(t)}
		got := must(air.DensityAltitude(air.Density(s)))(t).Foot()
		if !near(got, tt.want, 300) {
			t.Errorf("%v ft, %v C: got %.0f ft, want %v (%s)", tt.pressureFt, tt.temp, got, tt.want, tt.source)
		}
		if tt.exact != 0 && !near(got, tt.exact, 25) { // 0.05 % of density is 17 ft
			t.Errorf("%v ft, %v C: got %.0f ft, exact for an ideal gas %v", tt.pressureFt, tt.temp, got, tt.exact)
		}
	}
}

// drawState draws any air in which somebody might tune.
func drawState(t *rapid.T, name string) air.State {
	return air.State{
		Temp:     engine.Celsius(rapid.Float64Range(-40, 55).Draw(t, name+" temperature")),
		Pressure: engine.Pascal(rapid.Float64Range(50000, 108000).Draw(t, name+" pressure")),
		RH:       engine.Percent(rapid.Float64Range(0, 100).Draw(t, name+" humidity")),
	}
}

// Dry air and vapour add up, heat and humidity thin the air, pressure packs it.
func TestDensityProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawState(t, "air")
		moist, dry := air.Density(s), air.DryDensity(s)
		rounding := moist * 1e-15 // of vapour less than the last digit of the sum
		if dry > moist+rounding || (s.RH == 0 && dry != moist) {
			t.Fatalf("%+v: dry %v, moist %v", s, dry, moist)
		}
		hotter, denser, wetter := s, s, s
		hotter.Temp++
		denser.Pressure += 100
		wetter.RH = s.RH/2 + 50
		if air.Density(hotter) >= moist || air.Density(denser) <= moist {
			t.Fatalf("%+v: %v; 1 C hotter %v, 1 hPa more %v", s, moist, air.Density(hotter), air.Density(denser))
		}
		if s.RH < 99 && (air.Density(wetter) >= moist || air.DryDensity(wetter) >= dry) {
			t.Fatalf("%+v: %v; at %v %% %v", s, moist, wetter.RH, air.Density(wetter))
		}
	})
}

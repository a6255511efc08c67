package air_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/air"
	"topnote/internal/engine"
)

// The textbook's altitude enrichment for dry air, E = sqrt(rho0/rho) - 1: by how
// much the fuel-air ratio rises. Source: Heywood 1988, with the densities of
// ISO 2533:1975. The shift of the air-fuel ratio is 1/(1+E) - 1.
func TestAltitudeEnrichment(t *testing.T) {
	t.Parallel()
	tests := []struct {
		h                engine.Metre
		want             float64 // E, percent
		from147, from125 float64 // air-fuel ratios 14.7 and 12.5 become
	}{
		{304.8, 1.48, 0, 0},
		{500, 2.44, 14.35, 12.20},
		{1000, 4.97, 14.00, 11.91},
		{1500, 7.60, 13.66, 11.62},
		{2000, 10.32, 13.32, 11.33},
		{3000, 16.08, 12.66, 10.77},
		{4000, 22.29, 12.02, 10.22},
	}
	standard := func(h engine.Metre) air.State {
		return air.State{Temp: must(air.TemperatureAt(h))(t), Pressure: must(air.PressureAt(h))(t)}
	}
	for _, tt := range tests {
		shift := air.MixtureShift(standard(tt.h), standard(0))
		ratio := 1 + float64(shift)/100
		if e := 100 * (1/ratio - 1); !near(e, tt.want, 0.01) {
			t.Errorf("%v m: enrichment %.3f %%, want %v", tt.h, e, tt.want)
		}
		if tt.from147 != 0 && (!near(14.7*ratio, tt.from147, 0.01) || !near(12.5*ratio, tt.from125, 0.01)) {
			t.Errorf("%v m: 14.7 becomes %.3f, want %v; 12.5 becomes %.3f, want %v", tt.h, 14.7*ratio, tt.from147, 12.5*ratio, tt.from125)
		}
	}
	// 8000 ft: the density is 78.6 % and the enrichment 12.8 %.
	shift := air.MixtureShift(standard(engine.FromFoot(8000)), standard(0))
	if e := 100 * (1/(1+float64(shift)/100) - 1); !near(e, 12.8, 0.05) {
		t.Errorf("8000 ft: enrichment %.2f %%, want 12.8", e)
	}
}

// Source: two ideal gases with the vapour pressure of the WMO guide, worked in
// Python. phi is the fuel per oxygen against the reference, jet the change of
// jet area that restores it.
func TestMixtureShiftWithHumidity(t *testing.T) {
	t.Parallel()
	reference := air.State{Temp: 20, Pressure: 101325, RH: 50}
	at1000, at2000 := must(air.PressureAt(1000))(t), must(air.PressureAt(2000))(t)
	tests := []struct {
		s                    air.State
		moist, dry, phi, jet float64
	}{
		{air.State{Temp: -10, Pressure: 101325, RH: 80}, 1.1179, 1.1244, -5.97, 6.35},
		{air.State{Temp: 0, Pressure: 101325, RH: 80}, 1.0759, 1.0805, -4.00, 4.16},
		{air.State{Temp: 10, Pressure: 101325, RH: 60}, 1.0370, 1.0398, -2.06, 2.11},
		{air.State{Temp: 30, Pressure: 101325, RH: 50}, 0.9636, 0.9578, 2.48, -2.42},
		{air.State{Temp: 30, Pressure: 101325, RH: 90}, 0.9574, 0.9415, 3.93, -3.78},
		{air.State{Temp: 35, Pressure: 101325, RH: 50}, 0.9455, 0.9357, 3.91, -3.77},
		{air.State{Temp: 20, Pressure: 98000, RH: 50}, 0.9670, 0.9668, 1.71, -1.69},
		{air.State{Temp: 20, Pressure: 103000, RH: 50}, 1.0166, 1.0167, -0.83, 0.84},
		{air.State{Temp: 20, Pressure: at1000, RH: 50}, 0.8865, 0.8857, 6.31, -5.93},
		{air.State{Temp: 20, Pressure: at2000, RH: 50}, 0.7836, 0.7820, 13.19, -11.66},
		{air.State{Temp: 30, Pressure: at2000, RH: 30}, 0.7574, 0.7552, 15.23, -13.22},
	}
	for _, tt := range tests {
		moist := float64(air.Density(tt.s) / air.Density(reference))
		dry := float64(air.DryDensity(tt.s) / air.DryDensity(reference))
		shift := air.MixtureShift(tt.s, reference)
		phi := 100 * (1/(1+float64(shift)/100) - 1)
		// CIPM-2007 and the ideal gases part by up to 0.0006 of density.
		if !near(moist, tt.moist, 6e-4) || !near(dry, tt.dry, 6e-4) {
			t.Errorf("%+v: ratios %.5f and %.5f, want %v and %v", tt.s, moist, dry, tt.moist, tt.dry)
		}
		if !near(phi, tt.phi, 0.04) || !near(float64(shift), tt.jet, 0.04) {
			t.Errorf("%+v: phi %.3f %%, want %v; shift %.3f %%, want %v", tt.s, phi, tt.phi, shift, tt.jet)
		}
	}
}

// Humidity alone, from dry to saturated at one atmosphere. Source: as above.
func TestMixtureShiftByHumidityAlone(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		t    engine.Celsius
		want float64 // percent richer
	}{{10, 0.99}, {20, 1.91}, {30, 3.53}, {35, 4.75}} {
		shift := air.MixtureShift(air.State{Temp: tt.t, Pressure: 101325, RH: 100}, air.State{Temp: tt.t, Pressure: 101325})
		if richer := 100 * (1/(1+float64(shift)/100) - 1); !near(richer, tt.want, 0.03) {
			t.Errorf("%v C: %.3f %% richer, want %v", tt.t, richer, tt.want)
		}
	}
}

// The signs that practice agrees on (common practice): colder, lower, drier is
// leaner; hotter, higher, more humid is richer.
func TestMixtureShiftSigns(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		since := drawState(t, "since")
		colder, lower, drier := since, since, since
		colder.Temp -= engine.Celsius(rapid.Float64Range(0.1, 20).Draw(t, "degrees colder"))
		lower.Pressure += engine.Pascal(rapid.Float64Range(10, 5000).Draw(t, "pascals lower down"))
		drier.RH *= engine.Percent(rapid.Float64Range(0, 0.9).Draw(t, "share of the humidity"))
		if air.MixtureShift(colder, since) <= 0 || air.MixtureShift(since, colder) >= 0 {
			t.Fatalf("colder is not leaner: %+v, %+v", colder, since)
		}
		if air.MixtureShift(lower, since) <= 0 || air.MixtureShift(since, lower) >= 0 {
			t.Fatalf("lower is not leaner: %+v, %+v", lower, since)
		}
		if since.RH > 1 && (air.MixtureShift(drier, since) <= 0 || air.MixtureShift(since, drier) >= 0) {
			t.Fatalf("drier is not leaner: %+v, %+v", drier, since)
		}
	})
}

// There and back is no shift, by way of a third air makes no difference, and the
// parts make up the whole.
func TestMixtureShiftIdentities(t *testing.T) {
	t.Parallel()
	factor := func(p engine.Percent) float64 { return 1 + float64(p)/100 }
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := drawState(t, "a"), drawState(t, "b"), drawState(t, "c")
		if air.MixtureShift(a, a) != 0 {
			t.Fatalf("%+v against itself: %v", a, air.MixtureShift(a, a))
		}
		ab, bc, ac := air.MixtureShift(a, b), air.MixtureShift(b, c), air.MixtureShift(a, c)
		if !near(factor(ab)*factor(bc), factor(ac), 1e-12) || !near(factor(ab)*factor(air.MixtureShift(b, a)), 1, 1e-12) {
			t.Fatalf("%v, %v, %v do not chain", ab, bc, ac)
		}
		parts := air.Compare(air.Air{State: a}, air.Air{State: b}, air.Default()).Parts
		if !near(factor(parts.Temp)*factor(parts.Pressure)*factor(parts.Humidity), factor(ab), 1e-12) {
			t.Fatalf("parts %+v do not make %v", parts, ab)
		}
	})
}

// Fuel more by the correction at the air of now gives the old ratio again.
func TestFuelFlowCorrectionRestoresTheRatio(t *testing.T) {
	t.Parallel()
	since, now := air.State{Temp: 25, Pressure: 95000, RH: 60}, air.State{Temp: -5, Pressure: 102000, RH: 70}
	// Flows from first principles: volume of air fixed, fuel by Bernoulli.
	airFuel := func(s air.State, fuelFactor float64) float64 {
		return float64(air.DryDensity(s)) / (fuelFactor * math.Sqrt(float64(air.Density(s))))
	}
	s := air.Compare(air.Air{State: now}, air.Air{State: since}, air.Default())
	if s.Direction != air.Leaner || s.FuelFlowCorrection() <= 0 {
		t.Fatalf("colder and lower: got %s, correction %v", s.Direction, s.FuelFlowCorrection())
	}
	restored := airFuel(now, 1+float64(s.FuelFlowCorrection())/100)
	if !near(restored/airFuel(since, 1), 1, 1e-12) {
		t.Errorf("ratio %v after the correction, %v before", restored, airFuel(since, 1))
	}
}

func reading(t *testing.T, text string) air.Air {
	t.Helper()
	r, err := air.ParseReading(text)
	if err != nil {
		t.Fatal(err)
	}
	a, err := r.Air(air.Default())
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestDirection(t *testing.T) {
	t.Parallel()
	tests := []struct {
		now, since string
		want       air.Direction
	}{
		{"temp=20 rh=50 altitude=0", "temp=20 rh=50 altitude=0", air.Same},
		{"temp=21 rh=50 altitude=0", "temp=20 rh=50 altitude=0", air.Same}, // 0.2 %
		{"temp=31 rh=60 altitude=850", "temp=8 rh=80 altitude=120", air.Richer},
		{"temp=8 rh=80 altitude=120", "temp=31 rh=60 altitude=850", air.Leaner},
		{"temp=20 rh=50 pressure=1030", "temp=20 rh=50 pressure=980", air.Leaner},
		{"temp=30 rh=90 altitude=0", "temp=30 rh=10 altitude=0", air.Richer},
	}
	for _, tt := range tests {
		s := air.Compare(reading(t, tt.now), reading(t, tt.since), air.Default())
		if s.Direction != tt.want {
			t.Errorf("%s since %s: got %s (%.2f %%), want %s", tt.now, tt.since, s.Direction, s.Mixture, tt.want)
		}
	}
}

// The deviation from the readings, by drawing them 20000 times.
func TestShiftSDAgainstDraws(t *testing.T) {
	t.Parallel()
	o := air.Default()
	o.LawSD, o.FuelSD, o.FloorSD = 0, 0, 0 // the readings alone
	for _, pair := range [][2]string{
		{"temp=31 rh=60 altitude=850", "temp=8 rh=80 altitude=120"},
		{"temp=25 altitude=300 qnh=1020", "temp=10 rh=50 pressure=990"},
		{"temp=30 dew-point=24 pressure=1000", "temp=-5 rh=90 altitude=1500"},
	} {
		now, since := reading(t, pair[0]), reading(t, pair[1])
		random := rand.New(rand.NewPCG(6, 1))
		draw := func(a air.Air) air.State {
			return air.State{
				Temp:     a.Temp + a.SD.Temp*engine.Celsius(random.NormFloat64()),
				Pressure: a.Pressure + a.SD.Pressure*engine.Pascal(random.NormFloat64()),
				RH:       a.RH + a.SD.RH*engine.Percent(random.NormFloat64()),
			}
		}
		const draws = 20000
		var sum, squares float64
		for range draws {
			v := float64(air.MixtureShift(draw(now), draw(since)))
			sum, squares = sum+v, squares+v*v
		}
		drawn := math.Sqrt(squares/draws - sum/draws*sum/draws)
		got := float64(air.Compare(now, since, o).SD)
		if !near(got/drawn, 1, 0.05) { // 20000 draws know it to 0.5 %; the rest is curvature
			t.Errorf("%s since %s: sd %.4f, drawn %.4f", pair[0], pair[1], got, drawn)
		}
	}
}

// The deviation never falls below what the law and the floor alone give, and
// worse readings never make it smaller.
func TestShiftSDGrows(t *testing.T) {
	t.Parallel()
	o := air.Default()
	measured := air.Compare(reading(t, "temp=30 rh=60 pressure=920"), reading(t, "temp=10 rh=60 pressure=1000"), o)
	byHeight := air.Compare(reading(t, "temp=30 rh=60 altitude=807"), reading(t, "temp=10 rh=60 altitude=111"), o)
	noHumidity := air.Compare(reading(t, "temp=30 altitude=807"), reading(t, "temp=10 altitude=111"), o)
	least := engine.Percent(math.Hypot(float64(o.FloorSD), o.LawSD*float64(measured.Mixture)))
	if !(least <= measured.SD && measured.SD < byHeight.SD && byHeight.SD < noHumidity.SD) {
		t.Errorf("law %.3f, measured %.3f, by height %.3f, no humidity %.3f: want rising", least, measured.SD, byHeight.SD, noHumidity.SD)
	}
	if !near(measured.Mixture, byHeight.Mixture, 0.1) {
		t.Errorf("the same air twice: %.2f and %.2f", measured.Mixture, byHeight.Mixture)
	}
}

// departure is a known way in which a carburettor leaves the law.
type departure struct {
	name  string
	shift float64 // what the shift is then, percent
}

// departures works the reasons for Options.LawSD and FuelSD out from first principles.
func departures(now, since air.Air) []departure {
	dry := float64(now.DryDensity / since.DryDensity)
	moist := float64(now.Density / since.Density)
	warm := func(a air.Air) air.State {
		warmer := a.State
		warmer.Temp += 15
		warmer.RH *= engine.Percent(air.SaturationPressure(a.Temp) / air.SaturationPressure(warmer.Temp))
		return warmer
	}
	degrees := float64(now.Temp - since.Temp)
	return []departure{
		{"a diaphragm spring that holds back 5 of 60 hPa", 100 * (dry/math.Sqrt((60*moist-5)/(60-5)) - 1)},
		{"a small jet whose flow goes as the 0.55th power of the pull", 100 * (dry/math.Pow(moist, 0.55) - 1)},
		{"air at the inlet that is 15 °C warmer than the day", float64(air.MixtureShift(warm(now), warm(since)))},
		{"fuel that takes on the temperature of the air and is 0.1 % lighter for each °C", 100 * (dry/math.Sqrt(moist*(1-0.001*degrees)) - 1)},
	}
}

// Each of them alone must lie within one stated deviation.
func TestLawSDCoversKnownDepartures(t *testing.T) {
	t.Parallel()
	for _, pair := range [][2]string{
		{"temp=31 rh=60 pressure=915", "temp=8 rh=80 pressure=999"},
		{"temp=-5 rh=60 pressure=1000", "temp=30 rh=60 pressure=1000"}, // temperature alone, where the fuel counts most
		{"temp=20 rh=50 pressure=800", "temp=20 rh=50 pressure=1000"},
	} {
		now, since := reading(t, pair[0]), reading(t, pair[1])
		s := air.Compare(now, since, air.Default())
		for _, d := range departures(now, since) {
			if off := engine.Percent(d.shift) - s.Mixture; !near(off, 0, s.SD) {
				t.Errorf("%s since %s, %s: %.2f %% instead of %.2f %%, sd %.2f", pair[0], pair[1], d.name, d.shift, s.Mixture, s.SD)
			}
		}
	}
}

// A shift that may reach far to the lean side must say so, though it is called
// richer or the same.
func TestLeanReach(t *testing.T) {
	t.Parallel()
	o := air.Default()
	vague := air.Compare(reading(t, "temp=32 altitude=2500"), reading(t, "temp=32 altitude=2480"), o)
	if vague.Direction == air.Leaner || vague.LeanReach < o.WarnLean {
		t.Errorf("height alone and no humidity on a hot day: got %s, sd %.2f, reach %v", vague.Direction, vague.SD, vague.LeanReach)
	}
	sure := air.Compare(reading(t, "temp=20 rh=50 pressure=1000"), reading(t, "temp=20 rh=50 pressure=1000"), o)
	if sure.LeanReach != 0 {
		t.Errorf("measured twice: reach %v", sure.LeanReach)
	}
	leaner := air.Compare(reading(t, "temp=8 rh=80 altitude=120"), reading(t, "temp=31 rh=60 altitude=850"), o)
	if leaner.LeanReach <= leaner.Mixture {
		t.Errorf("%.1f %% leaner, sd %.1f: reach %v", leaner.Mixture, leaner.SD, leaner.LeanReach)
	}
}

// Rules of thumb near 20 C for dry air, in percent richer. Source: the law,
// worked in Python: +0.17 for each 1 C, -0.05 for each 1 hPa, +0.58 for each
// 100 m through air of 20 C.
func TestRulesOfThumb(t *testing.T) {
	t.Parallel()
	at := air.State{Temp: 20, Pressure: 101325}
	warmer, denser, higher := at, at, at
	warmer.Temp++
	denser.Pressure += 100
	higher.Pressure *= engine.Pascal(math.Exp(-9.80665 * 100 / (287.05 * 293.15))) // a column of 20 C
	for _, tt := range []struct {
		name string
		now  air.State
		want float64
	}{{"1 C warmer", warmer, 0.17}, {"1 hPa more", denser, -0.05}, {"100 m higher", higher, 0.58}} {
		shift := air.MixtureShift(tt.now, at)
		if richer := 100 * (1/(1+float64(shift)/100) - 1); !near(richer, tt.want, 0.015) {
			t.Errorf("%s: %.3f %% richer, want %v", tt.name, richer, tt.want)
		}
	}
}

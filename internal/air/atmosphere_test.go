package air_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/air"
	"topnote/internal/engine"
)

// near reports whether got is within tol of want.
func near[T ~float64](got, want, tol T) bool {
	return math.Abs(float64(got-want)) <= float64(tol)
}

// must unwraps a value that cannot fail in this test.
func must[T any](v T, err error) func(t *testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// Tolerances are half a unit of the last printed digit.
func TestStandardAtmosphere(t *testing.T) {
	t.Parallel()
	const source = "ISO 2533:1975, table 5, by geopotential height"
	tests := []struct {
		h           engine.Metre
		kelvin      float64
		hectopascal float64
		density     engine.KilogramPerCubicMetre
		tolHPa      float64
		tolDensity  engine.KilogramPerCubicMetre
	}{
		{0, 288.150, 1013.25, 1.22500, 0.005, 0.5e-5},
		{500, 284.900, 954.608, 1.16727, 0.0005, 0.5e-5},
		{1000, 281.650, 898.746, 1.11164, 0.0005, 0.5e-5},
		{1500, 278.400, 845.560, 1.05807, 0.0005, 0.5e-5},
		{2000, 275.150, 794.952, 1.00649, 0.0005, 0.5e-5},
		{3000, 268.650, 701.085, 0.909122, 0.0005, 0.5e-6},
		{4000, 262.150, 616.402, 0.819129, 0.0005, 0.5e-6},
	}
	for _, tt := range tests {
		temp := must(air.TemperatureAt(tt.h))(t).Kelvin()
		pressure := must(air.PressureAt(tt.h))(t).Hectopascal()
		density := must(air.DensityAt(tt.h))(t)
		if !near(temp, tt.kelvin, 0.0005) || !near(pressure, tt.hectopascal, tt.tolHPa) || !near(density, tt.density, tt.tolDensity) {
			t.Errorf("at %v m: got %.4f K, %.4f hPa, %.7f kg/m3; want %.3f, %.3f, %.6f (%s)",
				tt.h, temp, pressure, density, tt.kelvin, tt.hectopascal, tt.density, source)
		}
	}
}

// The tables also run by surveyed (geometric) height z; H = r z/(r+z) joins them.
func TestStandardAtmosphereBySurveyedHeight(t *testing.T) {
	t.Parallel()
	const earthRadius = 6356766 // m, ISO 2533:1975
	tests := []struct {
		z           float64
		kelvin      float64
		hectopascal float64
	}{ // ISO 2533:1975, table 5, by geometric height
		{1000, 281.651, 898.763},
		{2000, 275.154, 795.014},
		{3000, 268.659, 701.211},
	}
	for _, tt := range tests {
		h := engine.Metre(earthRadius * tt.z / (earthRadius + tt.z))
		temp, pressure := must(air.TemperatureAt(h))(t).Kelvin(), must(air.PressureAt(h))(t).Hectopascal()
		if !near(temp, tt.kelvin, 0.0005) || !near(pressure, tt.hectopascal, 0.0006) {
			t.Errorf("at z = %v m: got %.4f K, %.4f hPa; want %v, %v", tt.z, temp, pressure, tt.kelvin, tt.hectopascal)
		}
	}
}

func TestPressureAltitude(t *testing.T) {
	t.Parallel()
	tests := []struct {
		p      engine.Pascal
		want   engine.Metre
		tol    engine.Metre
		source string
	}{
		{101325, 0, 1e-6, "ISO 2533:1975"},
		{engine.FromInchHg(29.70), engine.FromFoot(205), engine.FromFoot(1), "Pilot's Handbook of Aeronautical Knowledge, figure 10-3: 29.70 inHg, 205 ft"},
		{103000, -138.5, 0.05, "formula worked in Python from the constants of ISO 2533"},
		{100000, 110.9, 0.05, "the same"},
		{95000, 540.3, 0.05, "the same"},
		{90000, 988.5, 0.05, "the same"},
		{80000, 1949.0, 0.05, "the same"},
		{70000, 3012.2, 0.05, "the same"},
	}
	for _, tt := range tests {
		if got := must(air.PressureAltitude(tt.p))(t); !near(got, tt.want, tt.tol) {
			t.Errorf("%v Pa: got %.2f m, want %v (%s)", tt.p, got, tt.want, tt.source)
		}
	}
}

// Weather stations reduce to QNH by a formula of another shape, an exponential
// of the mean temperature of the column. Source: the annex on formulas in the
// manual of an automatic weather station. It rounds its constants, so the two
// agree to 0.15 hPa up to 2000 m.
func TestStationPressureAgainstStationFormula(t *testing.T) {
	t.Parallel()
	stationQNH := func(qfe, h float64) float64 {
		t1 := 0.03416 * h * (1 - 0.19025*(math.Log(qfe)-6.92087))
		return qfe * math.Exp(t1/(288.2+0.00325*h))
	}
	for _, h := range []float64{-100, 0, 120, 500, 850, 1300, 2000} {
		for _, qnh := range []float64{980, 1013.25, 1035} {
			station := must(air.StationPressure(engine.FromHectopascal(qnh), engine.Metre(h)))(t)
			if back := stationQNH(station.Hectopascal(), h); !near(back, qnh, 0.15) {
				t.Errorf("QNH %v hPa at %v m: the station formula gives %.3f back", qnh, h, back)
			}
		}
	}
	at0 := must(air.StationPressure(99000, 0))(t)
	if !near(at0, 99000, 1e-6) {
		t.Errorf("QNH at sea level is the pressure there: got %v", at0)
	}
	standard := must(air.StationPressure(101325, 1000))(t)
	if !near(standard.Hectopascal(), 898.746, 0.0005) {
		t.Errorf("standard QNH at 1000 m: got %v hPa, ISO 2533 has 898.746", standard.Hectopascal())
	}
}

func TestAtmosphereEnds(t *testing.T) {
	t.Parallel()
	for _, h := range []engine.Metre{-5001, 11001, engine.Metre(math.NaN()), engine.Metre(math.Inf(1))} {
		if _, err := air.PressureAt(h); !errors.Is(err, air.ErrHeight) {
			t.Errorf("PressureAt(%v): got %v, want ErrHeight", h, err)
		}
	}
	for _, d := range []engine.KilogramPerCubicMetre{0, -1, 0.3, 3, engine.KilogramPerCubicMetre(math.NaN())} {
		if _, err := air.DensityAltitude(d); !errors.Is(err, air.ErrHeight) {
			t.Errorf("DensityAltitude(%v): got %v, want ErrHeight", d, err)
		}
	}
	// The tropopause: 226.32 hPa and 0.36392 kg/m3 at 11000 m.
	// Source: ISO 2533:1975.
	if got := must(air.PressureAt(11000))(t).Hectopascal(); !near(got, 226.32, 0.005) {
		t.Errorf("at 11000 m: got %v hPa", got)
	}
	if got := must(air.DensityAltitude(must(air.DensityAt(11000))(t)))(t); !near(got, 11000, 1e-6) {
		t.Errorf("11000 m there and back: got %v", got)
	}
}

func TestAtmosphereThereAndBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := engine.Metre(rapid.Float64Range(-5000, 11000).Draw(t, "height"))
		p, errP := air.PressureAt(h)
		d, errD := air.DensityAt(h)
		byPressure, errA := air.PressureAltitude(p)
		byDensity, errB := air.DensityAltitude(d)
		if err := errors.Join(errP, errD, errA, errB); err != nil {
			t.Fatal(err)
		}
		if !near(byPressure, h, 1e-6) || !near(byDensity, h, 1e-6) {
			t.Fatalf("%v m came back as %v by pressure and %v by density", h, byPressure, byDensity)
		}
	})
}

func TestQNHThereAndBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		qnh := engine.Pascal(rapid.Float64Range(85000, 110000).Draw(t, "qnh"))
		h := engine.Metre(rapid.Float64Range(-1000, 9000).Draw(t, "height"))
		p, err := air.StationPressure(qnh, h)
		if err != nil {
			t.Fatal(err)
		}
		back, err := air.QNH(p, h)
		if err != nil || !near(back, qnh, 1e-4) {
			t.Fatalf("QNH %v at %v m came back as %v, %v", qnh, h, back, err)
		}
	})
}

package engine_test

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

func TestAirUnits(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name      string
		got, want float64
		tol       float64 // half a digit of the printed value
		source    string
	}{
		{"standard temperature", engine.Celsius(15).Fahrenheit(), 59, 1e-9, "US Standard Atmosphere 1976: 15 C, 59 F"},
		{"where the scales meet", float64(engine.FromFahrenheit(-40)), -40, 1e-9, "identity of the two scales"},
		{"boiling point", float64(engine.FromFahrenheit(212)), 100, 1e-9, "definition of the Fahrenheit scale"},
		{"triple point", float64(engine.FromKelvin(273.16)), 0.01, 1e-9, "triple point of water, 273.16 K, 0.01 C"},
		{"absolute temperature", engine.Celsius(15).Kelvin(), 288.15, 1e-9, "ISO 2533:1975, T0"},
		{"standard pressure, mercury", engine.Pascal(101325).InchHg(), 29.92, 0.005, "ICAO: 1013.25 hPa, 29.92 inHg"},
		{"standard pressure, mm", float64(engine.FromMillimetreHg(760)), 101325, 0.1, "definition of the atmosphere, 760 mmHg"},
		{"standard pressure, hPa", engine.Pascal(101325).Hectopascal(), 1013.25, 1e-9, "ISO 2533:1975, p0"},
		{"inches back", float64(engine.FromInchHg(29.92126)), 101325, 1, "NIST SP 811, B.8"},
		{"water column", float64(engine.FromInchWater(406.782)), 101325, 10, "one atmosphere over the conventional inch of NIST SP 811, 249.0889 Pa, by hand"},
		{"water column back", engine.FromInchWater(12).InchWater(), 12, 1e-9, "round trip"},
		{"a mile of feet", float64(engine.FromFoot(5280)), 1609.344, 1e-9, "the international mile, exact"},
		{"feet", engine.Metre(3048).Foot(), 10000, 1e-9, "the international foot, exact"},
		{"standard density", engine.KilogramPerCubicMetre(1.225).PoundPerCubicFoot(), 0.076474, 5e-7, "US Standard Atmosphere 1976: 0.076474 lb/ft3 at sea level"},
		{"hPa there and back", engine.FromHectopascal(987.6).Hectopascal(), 987.6, 1e-9, "round trip"},
	}
	for _, tt := range tests {
		if math.Abs(tt.got-tt.want) > tt.tol {
			t.Errorf("%s: got %v, want %v +- %v (%s)", tt.name, tt.got, tt.want, tt.tol, tt.source)
		}
	}
}

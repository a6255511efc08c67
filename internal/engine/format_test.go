package engine_test

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

// TestFormats holds each form to figures written by hand: halves go away from
// zero, and nothing is written as a negative zero.
func TestFormats(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		form, got, want string
	}{
		{"whole", engine.FormatWhole(0.0), "0"},
		{"whole", engine.FormatWhole(7.0), "7"},
		{"whole", engine.FormatWhole(999.0), "999"},
		{"whole", engine.FormatWhole(999.5), "1,000"},
		{"whole", engine.FormatWhole(engine.RPM(13500)), "13,500"},
		{"whole", engine.FormatWhole(1234567.0), "1,234,567"},
		{"whole", engine.FormatWhole(-260.0), "-260"},
		{"whole", engine.FormatWhole(-13500.4), "-13,500"},
		{"whole", engine.FormatWhole(-0.2), "0"},
		{"tens", engine.FormatTens(engine.RPM(12844)), "12,840"},
		{"tens", engine.FormatTens(12845.0), "12,850"},
		{"tens", engine.FormatTens(-342.0), "-340"},
		{"tens", engine.FormatTens(9.4), "9"},
		{"tens", engine.FormatTens(-0.4), "0"},
		{"half width", engine.FormatHalfWidth(28.04), "60"},
		{"half width", engine.FormatHalfWidth(30.0), "60"},
		{"half width", engine.FormatHalfWidth(engine.RPM(30.1)), "70"},
		{"half width", engine.FormatHalfWidth(30.04), "60"}, // 30.0 in a report
		{"half width", engine.FormatHalfWidth(0.0), "0"},
		{"half width", engine.FormatHalfWidth(600.0), "1,200"},
		{"seconds", engine.FormatSeconds(engine.Seconds(0.66)), "0.7 s"},
		{"seconds", engine.FormatSeconds(6.0), "6.0 s"},
		{"tenth", engine.FormatTenth(-1.25001), "-1.3"},
		{"share", engine.FormatShare(0.125), "13 %"},
		{"share", engine.FormatShare(0.004), "0 %"},
		{"share", engine.FormatShare(1.0), "100 %"},
		{"percent", engine.FormatPercent(engine.Percent(3.44)), "3.4 %"},
	} {
		if tt.got != tt.want {
			t.Errorf("%s: %q, want %q", tt.form, tt.got, tt.want)
		}
	}
}

func TestRound(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ v, perUnit, want float64 }{
		{13842.26, 10, 13842.3}, {-13842.26, 10, -13842.3}, {0.12345, 1000, 0.123},
		{2.5, 1, 3}, {math.NaN(), 10, 0}, {math.Inf(1), 10, 0}, {math.Inf(-1), 10, 0}, {math.MaxFloat64, 10, 0},
	} {
		if got := engine.Round(tt.v, tt.perUnit); got != tt.want {
			t.Errorf("Round(%v, %v) = %v, want %v", tt.v, tt.perUnit, got, tt.want)
		}
	}
	if got := engine.Round(-0.001, 10); math.Signbit(got) {
		t.Error("a negative zero")
	}
}

// TestMargin: a difference is that of the figures as they are written.
func TestMargin(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ got, want float64 }{
		{engine.Margin(12844.0, 13500), -660}, {engine.Margin(13504.9, 13500), 0}, {engine.Margin(13505.1, 13500), 10},
		{engine.Margin(12797.0, 12797.3), 3}, {engine.Change(12714.0, 13106), 400}, {engine.Change(2834.0, 2796), -30},
	} {
		if tt.got != tt.want {
			t.Errorf("%v, want %v", tt.got, tt.want)
		}
	}
}

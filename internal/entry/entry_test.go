package entry_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/entry"
)

func TestParseSpeed(t *testing.T) {
	for text, want := range map[string]engine.RPM{
		"13500": 13500, "13,500": 13500, " 13500 ": 13500, "13500rpm": 13500, "13,500 RPM": 13500,
		"2800": 2800, "2,800": 2800, "1200": 1200, "16200": 16200,
	} {
		if got, err := entry.ParseSpeed(text); err != nil || got != want {
			t.Errorf("ParseSpeed(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for text, says := range map[string]string{
		"":                       "is not a speed",
		"rpm":                    "is not a speed",
		"fast":                   "is not a speed",
		"-13500":                 "is not a speed",
		"+13500":                 "is not a speed",
		"NaN":                    "is not a speed",
		"Inf":                    "is not a speed",
		"1e9":                    "is not a speed",
		"1e4":                    "is not a speed",
		"0x3000":                 "is not a speed",
		"13_500":                 "is not a speed",
		"13 50":                  "is not a speed",
		"1 3 500":                "is not a speed",
		"13, 500":                "is not a speed",
		"١٣٥٠٠":                  "is not a speed",
		"225 Hz":                 "is not a speed",
		"13.500":                 "more than one speed",
		"13.5":                   "more than one speed",
		"13500.0":                "more than one speed",
		"13,5":                   "more than one speed",
		"1,3,500":                "more than one speed",
		"13,5000":                "more than one speed",
		"1350,000":               "more than one speed",
		",500":                   "more than one speed",
		"0":                      "0 rpm is outside",
		"135":                    "135 rpm is outside",
		"1199":                   "1,199 rpm is outside",
		"16201":                  "16,201 rpm is outside",
		"135000":                 "135,000 rpm is outside",
		"1000000000":             "outside",
		strings.Repeat("9", 400): "is not a speed",
	} {
		got, err := entry.ParseSpeed(text)
		var refusal *entry.Refusal
		if !errors.As(err, &refusal) || !strings.Contains(refusal.Says, says) || refusal.Do == "" || got != 0 {
			t.Errorf("ParseSpeed(%q) = %v, %v; want a refusal that says %q", text, got, err, says)
		}
	}
}

func FuzzParseSpeed(f *testing.F) {
	for _, text := range []string{"13500", "13,500", "13.500", "1e9", "-1", "NaN", "9999999999999999999", "13,500rpm"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := entry.ParseSpeed(text)
		if err == nil && !(v >= 1200 && v <= 16200) {
			t.Errorf("%q was read as %v", text, v)
		}
		if err != nil && (v != 0 || strings.ContainsAny(err.Error(), "\n\x1b")) {
			t.Errorf("%q was refused with %v and %q", text, v, err)
		}
	})
}

func TestCheck(t *testing.T) {
	saw := engine.TwoStrokeSingle
	for name, c := range map[string]struct {
		query engine.Machine
		says  string // empty: accepted
	}{
		"nothing entered": {engine.Machine{Spec: saw}, ""},
		"all in order":    {engine.Machine{Spec: saw, Limits: engine.Limits{Max: 13500, Idle: 2800, Clutch: 3700}}, ""},
		"four-stroke":     {engine.Machine{Spec: engine.Spec{Strokes: 4, Cylinders: 2}, Limits: engine.Limits{Max: 3600}}, ""},
		"no engine":       {engine.Machine{}, "strokes 0"},
		"three strokes":   {engine.Machine{Spec: engine.Spec{Strokes: 3, Cylinders: 1}}, "strokes 3"},
		"no cylinder":     {engine.Machine{Spec: engine.Spec{Strokes: 2}}, "cylinders 0"},
		"idle above":      {engine.Machine{Spec: saw, Limits: engine.Limits{Max: 2800, Idle: 13500}}, "the idle speed of 13,500 rpm is not below the limit of 2,800 rpm"},
		"clutch at limit": {engine.Machine{Spec: saw, Limits: engine.Limits{Max: 9000, Clutch: 9000}}, "the clutch engagement speed"},
		"clutch below":    {engine.Machine{Spec: saw, Limits: engine.Limits{Idle: 2800, Clutch: 2700}}, "not below the clutch engagement speed"},
		"negative":        {engine.Machine{Spec: saw, Limits: engine.Limits{Max: -1}}, "outside"},
		"no number":       {engine.Machine{Spec: saw, Limits: engine.Limits{Max: engine.RPM(math.NaN())}}, "is not a speed"},
		"endless":         {engine.Machine{Spec: saw, Limits: engine.Limits{Max: engine.RPM(math.Inf(1))}}, "is not a speed"},
	} {
		t.Run(name, func(t *testing.T) {
			err := entry.Check(c.query)
			if c.says == "" {
				if err != nil {
					t.Errorf("refused: %v", err)
				}
				return
			}
			var refusal *entry.Refusal
			if !errors.As(err, &refusal) || !strings.Contains(refusal.Says, c.says) {
				t.Errorf("error %v, want a refusal that says %q", err, c.says)
			}
		})
	}
}

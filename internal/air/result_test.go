package air_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"topnote/internal/air"
)

var update = flag.Bool("update", false, "rewrite testdata/golden and the worked figures in docs/air.md")

// checkGolden holds got against a file, or rewrites the file under -update.
func checkGolden(t *testing.T, file string, got []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s (-want +got); -update rewrites it:\n%s", file, diff)
	}
}

// assess answers a question; since may be empty.
func assess(t *testing.T, now, since string, f *air.Filter) air.Result {
	t.Helper()
	var then *air.Air
	if since != "" {
		a := reading(t, since)
		then = &a
	}
	return must(air.Assess(reading(t, now), then, f, air.Default()))(t)
}

func TestGolden(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, now, since string
		filter           *air.Filter
		units            air.Units
	}{
		{"alone", "temp=31 rh=60 altitude=850", "", nil, air.Metric},
		{"richer", "temp=31 rh=60 altitude=850", "temp=8 rh=80 altitude=120", nil, air.Metric},
		{"leaner-us", "temp=46F dew-point=40F altitude=390ft qnh=30.05inHg", "temp=88F altitude=2800ft", nil, air.US},
		{"same", "temp=20 rh=50 pressure=1003 altitude=90", "temp=21 rh=55 pressure=1004", nil, air.Metric},
		{"vague", "temp=32 altitude=2500", "temp=32 altitude=2480", nil, air.Metric},
		{"filter-assumed", "temp=20 rh=50 altitude=300", "", &air.Filter{}, air.Metric},
		{"filter-measured-us", "temp=68F rh=50 altitude=1000ft pressure=29.92inHg", "temp=60F rh=50 altitude=1000ft",
			new(filterOf(1000, 4000)), air.US},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			r := assess(t, tt.now, tt.since, tt.filter)
			var text, data bytes.Buffer
			if err := r.WriteText(&text, tt.units, true); err != nil {
				t.Fatal(err)
			}
			if err := r.WriteJSON(&data); err != nil {
				t.Fatal(err)
			}
			for line := range strings.Lines(text.String()) {
				if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
					t.Errorf("%d characters in %q", n, line)
				}
			}
			checkGolden(t, filepath.Join("testdata", "golden", tt.name+".txt"), text.Bytes())
			checkGolden(t, filepath.Join("testdata", "golden", tt.name+".json"), data.Bytes())
		})
	}
}

// The keys are promised in topnote.air/1: these and no others, null where there
// is no second air.
func TestReportKeys(t *testing.T) {
	t.Parallel()
	top := []string{"air", "direction", "fuel_flow_correction_pct", "mixture_shift_pct", "schema", "shift_sd_pct", "since"}
	ofAir := []string{"density_altitude_m", "density_kg_m3", "dry_density_kg_m3", "pressure_hpa", "rh_pct", "temp_c"}
	for _, since := range []string{"", "temp=8 rh=80 altitude=120"} {
		var data bytes.Buffer
		if err := assess(t, "temp=31 rh=60 altitude=850", since, nil).WriteJSON(&data); err != nil {
			t.Fatal(err)
		}
		var got map[string]any
		if err := json.Unmarshal(data.Bytes(), &got); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(top, keys(got)); diff != "" {
			t.Errorf("since %q (-want +got):\n%s", since, diff)
		}
		if diff := cmp.Diff(ofAir, keys(got["air"].(map[string]any))); diff != "" {
			t.Errorf("air (-want +got):\n%s", diff)
		}
		if got["schema"] != "topnote.air/1" {
			t.Errorf("schema %v", got["schema"])
		}
		if since == "" {
			for _, key := range []string{"since", "mixture_shift_pct", "shift_sd_pct", "direction", "fuel_flow_correction_pct"} {
				if got[key] != nil {
					t.Errorf("%s is %v without a second air, want null", key, got[key])
				}
			}
			continue
		}
		if diff := cmp.Diff(ofAir, keys(got["since"].(map[string]any))); diff != "" {
			t.Errorf("since (-want +got):\n%s", diff)
		}
		if got["mixture_shift_pct"].(float64) >= 0 || got["direction"] != "richer" {
			t.Errorf("hotter and higher: shift %v, %v; want below 0 and richer", got["mixture_shift_pct"], got["direction"])
		}
	}
}

func keys(m map[string]any) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func TestReportThereAndBack(t *testing.T) {
	t.Parallel()
	want := assess(t, "temp=31 rh=60 altitude=850", "temp=8 rh=80 altitude=120", &air.Filter{}).Report()
	data, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got air.Report
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("there and back (-want +got):\n%s", cmp.Diff(want, got))
	}
}

// Advice that leads to the lean side is only ever a small step after an ear has
// judged; the dangerous direction is named first, and cautions always come along.
func TestAdviceIsCareful(t *testing.T) {
	t.Parallel()
	richer := assess(t, "temp=31 rh=60 altitude=850", "temp=8 rh=80 altitude=120", nil)
	leaner := assess(t, "temp=8 rh=80 altitude=120", "temp=31 rh=60 altitude=850", nil)
	for name, r := range map[string]air.Result{"richer": richer, "leaner": leaner} {
		advice := strings.Join(r.Advice(), " ")
		want, never := "close H", "open H (turn it out"
		if name == "leaner" {
			want, never = "open H (turn it out", "close H"
		}
		if !strings.Contains(advice, want) || strings.Contains(advice, never) {
			t.Errorf("%s: want %q and never %q in %q", name, want, never, advice)
		}
		if !strings.Contains(advice, "1/8 turn") || !strings.Contains(advice, "record a pass") {
			t.Errorf("%s: no small step or no check in %q", name, advice)
		}
	}
	if !strings.Contains(strings.Join(leaner.Advice(), " "), "before the next full throttle") {
		t.Error("leaner: nothing is said of the next full throttle")
	}
	cautions := strings.Join(air.Cautions(), " ")
	for _, want := range []string{"handbook", "local rules", "Ear and eye protection", "Seconds, not minutes", "Outdoors", "1/8 turn"} {
		if !strings.Contains(cautions, want) {
			t.Errorf("cautions say nothing of %q", want)
		}
	}
}

func TestParseUnits(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]air.Units{"metric": air.Metric, "us": air.US, "US": air.US} {
		if got, err := air.ParseUnits(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "imperial", "metric "} {
		var problem *air.Problem
		if _, err := air.ParseUnits(text); !errors.As(err, &problem) {
			t.Errorf("%q: got %v, want a Problem", text, err)
		}
	}
}

// A filter that loses nothing does nothing, and one that cannot be is refused
// through Assess as well.
func TestAssessFilter(t *testing.T) {
	t.Parallel()
	var text bytes.Buffer
	if err := assess(t, "temp=20 rh=50 altitude=0", "", new(filterOf(0, 4000))).WriteText(&text, air.Metric, true); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(strings.Fields(text.String()), " "); !strings.Contains(got, "makes the mixture no different by itself") || strings.Contains(got, "NaN") {
		t.Errorf("no drop: got %q", got)
	}
	var problem *air.Problem
	if _, err := air.Assess(reading(t, "temp=20 altitude=0"), nil, new(filterOf(-1, 4000)), air.Default()); !errors.As(err, &problem) {
		t.Errorf("a drop below 0: got %v, want a Problem", err)
	}
}

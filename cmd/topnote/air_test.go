package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
)

// runAir runs "topnote air" and gives its exit status and both streams.
func runAir(args ...string) (status, string, string) {
	var out, errs bytes.Buffer
	got := run(context.Background(), append([]string{"air"}, args...), streams{strings.NewReader(""), &out, &errs})
	return got, out.String(), errs.String()
}

func TestAirText(t *testing.T) {
	t.Parallel()
	got, out, errs := runAir("--temp", "31", "--rh", "60", "--altitude", "850", "--since", "temp=8 rh=80 altitude=120")
	if got != measured || errs != "" {
		t.Fatalf("status %d, error stream %q", got, errs)
	}
	// The page shows this very command with what it prints.
	page, err := os.ReadFile("../../docs/air.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(page), "```\n"+out+"```\n") {
		t.Errorf("docs/air.md does not show what was printed:\n%s", out)
	}
}

func TestAirJSON(t *testing.T) {
	t.Parallel()
	got, out, errs := runAir("--temp", "20", "--rh", "50", "--pressure", "1013.25", "--format", "json")
	if got != measured || errs != "" {
		t.Fatalf("status %d, error stream %q", got, errs)
	}
	var report struct {
		Schema string
		Air    struct {
			Density float64 `json:"density_kg_m3"`
		}
		Since, Direction any
	}
	if err := json.Unmarshal([]byte(out), &report); err != nil {
		t.Fatal(err)
	}
	// Source: CIPM-2007, 1.199314.
	if report.Schema != "topnote.air/1" || math.Abs(report.Air.Density/1.199314-1) > 1e-5 || report.Since != nil || report.Direction != nil {
		t.Errorf("got %s", out)
	}
}

// What was assumed has no place in the JSON, so it is said beside it.
func TestAirJSONSaysWhatWasAssumed(t *testing.T) {
	t.Parallel()
	got, out, errs := runAir("--temp", "-5", "--altitude", "300", "--format", "json")
	if got != measured || !json.Valid([]byte(out)) {
		t.Fatalf("status %d, %q", got, out)
	}
	if !strings.Contains(errs, "topnote: The humidity was not given") || strings.Count(errs, "\n") != 1 {
		t.Errorf("error stream %q", errs)
	}
}

func TestAirUnits(t *testing.T) {
	t.Parallel()
	_, metric, _ := runAir("--temp", "88F", "--rh", "60%", "--altitude", "2800ft", "--qnh", "29.92inHg", "--full")
	_, us, _ := runAir("--temp", "31.111C", "--rh", "60", "--altitude", "853.44m", "--qnh", "1013.21hPa", "--units", "us", "--full")
	for _, want := range []string{"31.1 °C", "914.8 hPa", "kg/m3"} {
		if !strings.Contains(metric, want) {
			t.Errorf("metric: no %q in\n%s", want, metric)
		}
	}
	for _, want := range []string{"88 °F", "27.01 inHg", "2,800 ft", "lb/ft3"} {
		if !strings.Contains(us, want) {
			t.Errorf("us: no %q in\n%s", want, us)
		}
	}
}

func TestAirFilter(t *testing.T) {
	t.Parallel()
	_, assumed, _ := runAir("--temp", "20", "--rh", "50", "--altitude", "0", "--filter-drop", "assumed", "--format", "json")
	_, measured, _ := runAir("--temp", "20", "--rh", "50", "--altitude", "0", "--filter-drop", "4inH2O", "--venturi-drop", "40", "--format", "json")
	for _, want := range []string{`"drop_assumed":true`, `"venturi_assumed":true`} {
		if !strings.Contains(assumed, want) {
			t.Errorf("no %s in %s", want, assumed)
		}
	}
	for _, want := range []string{`"drop_hpa":9.964`, `"drop_assumed":false`, `"venturi_hpa":40,`} {
		if !strings.Contains(measured, want) {
			t.Errorf("no %s in %s", want, measured)
		}
	}
}

// Each entry that cannot be used: status 2, nothing printed, one line.
func TestAirRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct {
		args string // parted at |
		says string
	}{
		{"", "topnote: the temperature is missing; give temp"},
		{"--temp|31", "neither a height nor a pressure"},
		{"--temp|warm|--altitude|0", `topnote: --temp: "warm" is no temperature; write a number`},
		{"--temp|NaN|--altitude|0", "--temp: \"NaN\" is no temperature"},
		{"--temp|88|--altitude|0", "write the unit where it is not °C: 88F"},
		{"--temp|31|--temp|32|--altitude|0", "--temp: temp was given twice"},
		{"--temp|31|--altitude|9500", "9,500 m is outside"},
		{"--temp|31|--altitude|850|--rh|101", "101 % is outside 0 to 100 %"},
		{"--temp|31|--altitude|850|--rh|0.6", "write it in percent"},
		{"--temp|31|--altitude|850|--rh|60|--dew-point|20", "rh and dew-point both"},
		{"--temp|31|--altitude|850|--dew-point|32", "is above the temperature"},
		{"--temp|31|--altitude|850|--pressure|915|--qnh|1013", "were both given"},
		{"--temp|31|--qnh|1013", "says nothing without the height"},
		{"--temp|31|--pressure|29.92", "write the unit where it is not hPa: 29.92inHg"},
		{"--temp|31|--altitude|850|--pressure|1013", "give it as qnh"},
		{"--temp|31|--altitude|850|--since|", "topnote: --since: the text for the air is empty"},
		{"--temp|31|--altitude|850|--since|temp=8 rh=80", "--since: neither a height nor a pressure"},
		{"--temp|31|--altitude|850|--since|temp=8 wind=3", "--since: \"wind\" is no figure of the air"},
		{"--temp|31|--altitude|850|--format|xml", "is not a form of this result"},
		{"--temp|31|--altitude|850|--units|furlong", "--units: \"furlong\" is no set of units"},
		{"--temp|31|--altitude|850|--units|us|--format|json", "json is always in metric units"},
		{"--temp|31|--altitude|850|--filter-drop|much", "--filter-drop: \"much\" is no pressure"},
		{"--temp|31|--altitude|850|--filter-drop|900", "filter drop of 900 hPa is outside"},
		{"--temp|31|--altitude|850|--filter-drop|5|--venturi-drop|0", "venturi depression of 0 hPa is outside"},
		{"--temp|31|--altitude|850|--venturi-drop|40", "says nothing without a filter"},
		{"--temp|31|--altitude|850|cold", "one word too many"},
		{"--temp|31|--altitude|850|--wind|3", "there is no flag --wind"},
	}
	for _, tt := range tests {
		var args []string
		if tt.args != "" {
			args = strings.Split(tt.args, "|")
		}
		got, out, errs := runAir(args...)
		if got != wrongUsage || out != "" {
			t.Errorf("%s: status %d, printed %q", tt.args, got, out)
		}
		if !strings.Contains(errs, tt.says) || strings.Count(errs, "\n") != 1 || !strings.HasPrefix(errs, "topnote: ") {
			t.Errorf("%s: said %q, want %q in one line", tt.args, errs, tt.says)
		}
	}
}

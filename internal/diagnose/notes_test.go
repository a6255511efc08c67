package diagnose

import (
	"slices"
	"testing"
)

// TestNotes: what people write, and what is made of it. Source: common practice of
// workshop notes; the wordings are ours.
func TestNotes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		field part
		note  string
		want  []event
	}{
		// Of the air filter.
		{partAirFilter, "new", []event{filterRenewed}},
		{partAirFilter, "Cleaned, oiled", []event{filterRenewed}},
		{partAirFilter, "washed it", []event{filterRenewed}},
		{partAirFilter, "blown out", []event{filterRenewed}},
		{partAirFilter, "not cleaned", nil},
		{partAirFilter, "dusty", []event{filterDirty}},
		{partAirFilter, "needs cleaning", []event{filterDirty}},
		{partAirFilter, "clogged with fine dust", []event{filterDirty}},
		{partAirFilter, "new, the old one was clogged", []event{filterRenewed}},
		{partAirFilter, "filter ok", nil},
		{partAirFilter, "as before", nil},
		{partAirFilter, "air filter new, muffler screen cleaned", []event{filterRenewed, exhaustCleaned}},
		{partAirFilter, "", nil},

		// Work beside the fuel, noted where there was room for it.
		{partFuel, "new spark plug", []event{sparkWork}},
		{partFuel, "plug replaced, gap 0.5", []event{sparkWork}},
		{partFuel, "new coil fitted", []event{sparkWork}},
		{partFuel, "carburettor cleaned and rebuilt", []event{carburettorWork}},
		{partFuel, "carb rebuilt with a new kit", []event{carburettorWork}},
		{partFuel, "new diaphragms", []event{carburettorWork}},
		{partFuel, "metering diaphragm renewed", []event{carburettorWork}},
		{partFuel, "muffler screen cleaned", []event{exhaustCleaned}},
		{partFuel, "spark arrester screen new", []event{exhaustCleaned}},
		{partFuel, "exhaust port decarbonised", []event{exhaustCleaned}},
		{partFuel, "muffler opened up", []event{mufflerOpened}},
		{partFuel, "arrester screen removed", []event{mufflerOpened}},
		{partFuel, "impulse hose replaced", []event{pumpWork}},
		{partFuel, "new impulse line", []event{pumpWork}},
		{partFuel, "pump diaphragm changed", []event{pumpWork}},
		{partFuel, "crank seals replaced", []event{leakWork}},
		{partFuel, "new base gasket", []event{leakWork}},
		{partFuel, "intake boot renewed", []event{leakWork}},
		{partFuel, "intake boot clamp tightened", []event{leakWork}},
		{partFuel, "new piston and ring", []event{engineNew}},
		{partFuel, "brand new, first tank", []event{engineNew}},
		{partFuel, "still running in", []event{engineNew}},
		{partFuel, "chain sharpened", []event{toolChanged}},
		{partFuel, "new trimmer line 2.4 mm", []event{toolChanged}},
		{partFuel, "other bar", []event{toolChanged}},
		{partFuel, "bar oil filled", nil},
		{partFuel, "new starter rope", nil},
		{partFuel, "choke half on", []event{chokeOn}},
		{partFuel, "speed changes when tilted", []event{tilts}},
		{partFuel, "cured by loosening the tank cap", []event{capCures}},

		// Of the fuel system.
		{partFuel, "fuel filter new", []event{fuelFilterWork}},
		{partFuel, "new filter", []event{fuelFilterWork}},
		{partFuel, "screen cleaned, new filter", []event{fuelCleared, fuelFilterWork}},
		{partFuel, "inlet screen washed", []event{fuelCleared}},
		{partFuel, "tank vent cleared", []event{fuelCleared}},
		{partFuel, "new fuel line and filter", []event{fuelCleared}},
		{partFuel, "fuel line checked", nil},
		{partFuel, "line", nil},
		{partFuel, "fuel filter not changed", nil},
		{partFuel, "vent must be cleaned", nil},

		// Of the fuel itself.
		{partFuel, "fresh, 1:50", []event{fuelOther}},
		{partFuel, "fresh mix", []event{fuelOther}},
		{partFuel, "last year's can", []event{fuelOld}},
		{partFuel, "old fuel", []event{fuelOld}},
		{partFuel, "stale, from the winter", []event{fuelOld}},
		{partFuel, "same can", nil},
		{partFuel, "1:50", nil}, // by itself: it is compared with the passes before
		{partFuel, "E10", []event{fuelEthanol}},
		{partFuel, "now petrol with 10 % ethanol", []event{fuelEthanol}},
		{partFuel, "alkylate", []event{fuelAlkylate}},
		{partFuel, "switched to alkylate fuel", []event{fuelAlkylate}},
		{partFuel, "more oil", []event{oilRatio}},
		{partFuel, "warm, dry day", nil},
	} {
		got := readNote(c.note, c.field)
		if len(got) != len(c.want) || slices.ContainsFunc(c.want, func(e event) bool { return !slices.Contains(got, e) }) {
			t.Errorf("%q is read as %v, want %v", c.note, got, c.want)
		}
	}
}

// TestOilRatio: another ratio is an event, the same one is none.
func TestOilRatio(t *testing.T) {
	t.Parallel()
	for note, want := range map[string]string{"1:50": "50", "fresh, 1 : 25": "25", "50:1 mix": "50", "12:30 h": "", "3 l": ""} {
		if got := ratioIn(note); got != want {
			t.Errorf("%q: %q, want %q", note, got, want)
		}
	}
	for _, c := range []struct {
		notes []string
		want  bool
	}{{[]string{"1:50", "1:50"}, false}, {[]string{"1:50", "1:25"}, true}, {[]string{"1:50", "", "fresh, 50:1"}, false}, {[]string{"", "1:25"}, false}, {[]string{"1:50", "", "25:1"}, true}} {
		var steps []step
		for i, n := range c.notes {
			steps = append(steps, step{day: i, fuel: n})
		}
		all := observations(written(steps...))
		_, got := newComparison(all, 0, len(all)-1, Default()).noted(oilRatio)
		if got != c.want {
			t.Errorf("%q: another ratio %v, want %v", c.notes, got, c.want)
		}
	}
}

// FuzzNotes: no note stops the program.
func FuzzNotes(f *testing.F) {
	f.Add("new, the old one was clogged")
	f.Add("1:50 & E10 / chain")
	f.Fuzz(func(t *testing.T, note string) {
		for _, field := range []part{partAirFilter, partFuel} {
			for _, e := range readNote(note, field) {
				if signNumber(e) < 0 {
					t.Errorf("%q gives %q, which is no sign", note, e)
				}
			}
		}
	})
}

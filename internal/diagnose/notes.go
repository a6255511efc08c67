package diagnose

import (
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
)

// Notes about filter and fuel are read clause by clause: what part a clause is of,
// and what was done to it or found on it. A clause without a part is of the part
// before it, and the first of a note is of the field that it stands in. What is not
// understood is no event: it is shown, and nothing is made of it.

// part is what a clause of a note is about.
type part int

const (
	partOther part = iota // nothing that changes how it runs: bar oil, a handle
	partAirFilter
	partFuel // in the tank
	partFuelFilter
	partFuelSystem // line, inlet screen, jet, tank vent
	partPump       // of the carburettor, and the impulse line that drives it
	partCarburettor
	partIgnition
	partExhaust
	partSeals // seals, gaskets, intake boot
	partEngine
	partTool // what the engine turns
	partChoke
)

// partWords name the parts, in the order in which they are looked for: "muffler
// screen" stands before "screen". Whole words, in lower case; a plural s is allowed.
var partWords = []struct {
	part  part
	words string
}{
	{partExhaust, "spark arrester screen|spark arrestor screen|spark arrester|spark arrestor|arrester|arrestor|muffler screen|exhaust screen|spark screen|muffler|silencer|exhaust port|exhaust|port"},
	{partOther, "bar oil|chain oil|handle|starter rope|rope|spring|cover screw|tank cap|fuel cap|cap"},
	{partIgnition, "spark plug|sparkplug|spark-plug|plug|ignition coil|coil|ignition|plug lead|plug gap"},
	{partPump, "impulse line|impulse hose|impulse pipe|pulse line|pulse hose|impulse|pump diaphragm|fuel pump|pump gasket"},
	{partSeals, "crank seal|crankshaft seal|oil seal|shaft seal|seal|intake boot|inlet boot|intake rubber|intake manifold|manifold|boot|base gasket|cylinder gasket|cylinder base gasket|intake gasket|gasket"},
	{partTool, "trimmer line|cutting line|nylon line|mowing line|line head|cutting head|mowing head|nylon|chain|guide bar|bar|sprocket|blade|knives|knife|wheel|disc|disk|belt|clutch drum|clutch|tube|nozzle|gearhead|gearbox"},
	{partAirFilter, "air filter|airfilter|air-filter|air cleaner|prefilter|pre-filter|pre filter|filter cover|filter foam|foam"},
	{partFuelFilter, "fuel filter|fuel-filter|petrol filter|gas filter|tank filter|pick-up|pickup|pick up"},
	{partCarburettor, "carburettor|carburetor|carburetter|carb|carby|metering diaphragm|diaphragm|membrane|metering lever|needle valve|needle|carb kit|diaphragm kit|repair kit"},
	{partFuelSystem, "tank vent|vent|breather|fuel line|fuel hose|petrol line|fuel pipe|inlet screen|carb screen|screen|strainer|main jet|jet|fuel passage|passage|line|hose"},
	{partChoke, "choke"},
	{partEngine, "piston ring|piston|ring|cylinder|top end|short block|new engine|new machine|new saw|brand new|running in|running-in|run in|run-in|break in|break-in|breaking in|first tank|first tankful|second tank|third tank|engine"},
	{partFuel, "fuel|petrol|gasoline|gas|mix|mixture|premix|can|tank|tankful|tankfull|ethanol|alkylate|octane|e5|e10|e15|e85|oil|two-stroke oil|2-stroke oil"},
	{partAirFilter, "filter|element"},
}

// What is done to a part or found on it: beginnings of words, in lower case.
var (
	wordsRenewed = []string{"new", "renew", "replac", "clean", "wash", "blown", "blew", "chang", "fresh", "rebuil", "refurb", "overhaul", "swap", "exchang", "fitted",
		"repair", "reseal", "clear", "unblock", "freed", "fixed", "tighten", "decarbon", "decoke", "servic", "sharpen", "gapped", "adjust", "brush", "turned"}
	wordsDirty  = []string{"dirt", "dust", "load", "clog", "block", "old", "soot", "chips", "plugged", "grimy", "black", "full"}
	wordsOpened = []string{"opened", "open", "drill", "gut", "modif", "remov", "without", "out", "cut", "port", "tun"}
	wordsStale  = []string{"stale", "old", "last", "winter", "sour", "month", "year", "season", "varnish"}
	wordsOther  = []string{"fresh", "new", "other", "another", "different", "fill", "refill", "chang", "switch", "swap"}
	wordsNot    = []string{"not", "no", "never", "without", "un", "needs", "need", "should", "must", "to", "isn", "wasn", "hasn", "haven", "due"}
	wordsMore   = []string{"more", "less", "other", "richer", "extra", "double", "ratio"}
	wordsTilt   = []string{"tilt", "flex", "rock", "tip"}
)

// event is what a note says has happened, or was found. It is also the code of
// its sign.
type event = signCode

// oilRatioIn finds fuel to oil, as "1:50" or "50:1".
var oilRatioIn = regexp.MustCompile(`\b(?:1\s*:\s*(\d{2,3})|(\d{2,3})\s*:\s*1)\b`)

// clauseEnd parts a note into clauses.
var clauseEnd = regexp.MustCompile(`[,;.+&/()]+(?:\s|$)|\s[+&/-]+\s|\b(?:and|then|but|with|also)\b`)

// partPatterns gives partWords ready to match. Few commands read notes.
var partPatterns = sync.OnceValue(compileParts)

func compileParts() []*regexp.Regexp {
	var all []*regexp.Regexp
	for _, p := range partWords {
		all = append(all, regexp.MustCompile(`(?:^|[^a-z0-9])(?:`+p.words+`)(?:e?s)?(?:$|[^a-z0-9])`))
	}
	return all
}

// readNote gives the events of a note that stands in a field of a part: partAirFilter
// or partFuel.
func readNote(note string, field part) []event {
	var events []event
	last, named := field, false
	for _, clause := range clauses(note) {
		about, found := partIn(clause, field)
		switch {
		case found:
			last, named = about, true
		case !named:
			last = field
		}
		for _, e := range eventsIn(clause, last) {
			if !slices.Contains(events, e) {
				events = append(events, e)
			}
		}
	}
	return settle(events)
}

// clauses parts a note, in lower case; empty ones are left out.
func clauses(note string) []string {
	var all []string
	for _, c := range clauseEnd.Split(strings.ToLower(note), -1) {
		if c = strings.TrimSpace(c); c != "" {
			all = append(all, c)
		}
	}
	return all
}

// partIn gives the part that a clause names. "Filter" alone is that of the field.
func partIn(clause string, field part) (part, bool) {
	for i, p := range partPatterns() {
		if !p.MatchString(clause) {
			continue
		}
		found := partWords[i].part
		if found == partAirFilter && field == partFuel && i == len(partWords)-1 {
			return partFuelFilter, true
		}
		return found, true
	}
	return field, false
}

// eventsIn gives the events of one clause about a part.
func eventsIn(clause string, about part) []event {
	var events []event
	if mentions(clause, wordsTilt) && !mentions(clause, []string{"tipp"}) {
		events = append(events, tilts)
	}
	if slices.Contains(events, tilts) {
		return events
	}
	if about == partOther {
		if strings.Contains(clause, "cap") && mentions(clause, []string{"loos", "open", "undo", "undone"}) {
			events = append(events, capCures)
		}
		return events
	}
	renewed := mentions(clause, wordsRenewed)
	switch about {
	case partAirFilter:
		switch {
		case renewed:
			return append(events, filterRenewed)
		case mentions(clause, wordsDirty) || mentions(clause, []string{"need"}):
			return append(events, filterDirty)
		}
	case partExhaust:
		if !mentions(clause, []string{"clean", "new", "renew", "replac", "decarbon", "decoke", "brush", "clear"}) && mentions(clause, wordsOpened) {
			return append(events, mufflerOpened)
		}
	case partChoke:
		if mentions(clause, []string{"half", "on", "closed", "partly", "stuck"}) {
			events = append(events, chokeOn)
		}
		return events
	case partFuel:
		return append(events, fuelEvents(clause)...)
	case partEngine:
		if renewed || mentions(clause, []string{"run", "break", "brand", "first", "second", "third"}) {
			events = append(events, engineNew)
		}
		return events
	case partTool:
		if renewed || mentions(clause, wordsOther) || mentions(clause, []string{"long", "short", "dull", "blunt", "tight"}) {
			events = append(events, toolChanged)
		}
		return events
	}
	if work, known := workOn[about]; known && renewed {
		events = append(events, work)
	}
	return events
}

// workOn gives the event of work on a part.
var workOn = map[part]event{
	partFuelFilter: fuelFilterWork, partFuelSystem: fuelCleared, partPump: pumpWork, partCarburettor: carburettorWork,
	partIgnition: sparkWork, partExhaust: exhaustCleaned, partSeals: leakWork,
}

// fuelEvents gives what a clause says of the fuel itself. The oil ratio is compared
// with that of the passes before; see ratioIn.
func fuelEvents(clause string) []event {
	var events []event
	if regexp.MustCompile(`ethanol|\be(?:5|10|15|85)\b|gasohol`).MatchString(clause) {
		events = append(events, fuelEthanol)
	}
	if strings.Contains(clause, "alkylate") {
		events = append(events, fuelAlkylate)
	}
	if strings.Contains(clause, "oil") && mentions(clause, wordsMore) {
		events = append(events, oilRatio)
	}
	if len(events) > 0 {
		return events
	}
	switch {
	case mentions(clause, wordsStale):
		return []event{fuelOld}
	case mentions(clause, wordsOther):
		return []event{fuelOther}
	}
	return nil
}

// settle takes out what another event of the note says better: a filter that was
// renewed is not noted as dirty.
func settle(events []event) []event {
	if slices.Contains(events, filterRenewed) {
		events = slices.DeleteFunc(events, func(e event) bool { return e == filterDirty })
	}
	return events
}

// ratioIn gives how many parts of fuel a note has to one of oil; 0 where it has none.
func ratioIn(note string) string {
	m := oilRatioIn.FindStringSubmatch(note)
	if m == nil {
		return ""
	}
	return m[1] + m[2]
}

// mentions reports whether a clause has a word with one of the beginnings, and not a
// negation in the two words before it.
func mentions(clause string, beginnings []string) bool {
	words := strings.FieldsFunc(clause, func(c rune) bool { return !unicode.IsLetter(c) })
	for i, w := range words {
		begins := func(b string) bool { return strings.HasPrefix(w, b) }
		if !slices.ContainsFunc(beginnings, begins) {
			continue
		}
		if !slices.ContainsFunc(words[max(0, i-2):i], func(b string) bool { return slices.Contains(wordsNot, b) }) {
			return true
		}
	}
	return false
}

package page

import "topnote/internal/engine"

// words are those of a field of a machine on a page.
type words struct {
	label   string
	answers map[string]string // by value; "" for those of yes and no
}

// answer gives an answer in words.
func (w words) answer(value string) string {
	if says := w.answers[value]; says != "" {
		return says
	}
	if value == string(engine.Yes) {
		return "Yes"
	}
	return "No"
}

// fieldWords has the words of every field of engine.Fields, by its name.
var fieldWords = map[string]words{
	"kind": {"Kind of machine", map[string]string{
		"saw": "Chain saw", "cut-off-saw": "Cut-off saw", "trimmer": "Line trimmer", "brush-cutter": "Brush cutter with a blade",
		"hedge-trimmer": "Hedge trimmer", "blower": "Blower", "auger": "Auger (earth drill)", "pump": "Pump", "other": "Another",
	}},
	"carburettor": {"Screws of the carburettor", map[string]string{
		"screws": "Free to turn", "capped": "With caps or stops", "fixed": "None: fixed jets", "self-setting": "None: it sets itself",
	}},
	"governor":           {label: "Does a governor hold its top speed?"},
	"coil-limit":         {label: "Does the ignition limit its top speed?"},
	"charge":             {"Charge of the cylinder", map[string]string{"plain": "Plain", "stratified": "Stratified: air first"}},
	"catalyst":           {label: "Is there a catalyst in the muffler?"},
	"filter-compensated": {label: "Does the carburettor make up for a dirty air filter?"},
	"gear-ratio":         {label: "Gear ratio: turns of the engine for one of the spindle"},
	"limit-of":           {"Whose speed is the maximum?", map[string]string{"engine": "The engine's", "spindle": "The spindle's"}},
	"limit-is":           {"What is that figure?", map[string]string{"maximum": "A maximum", "set-to": "A figure to set it to"}},
	"tolerance":          {label: "Tolerance of a figure to set it to, ± rpm"},
	"warm":               {label: "Was it warmed up under load?"},
	"choke-open":         {label: "Was the choke fully open?"},
	"filter-clean":       {label: "Was the air filter clean?"},
}

package report

import (
	"cmp"
	"strings"

	"topnote/internal/engine"
)

// buildSays has what is said of an answer about a machine, by the name of its field.
// An answer without an entry is said as it is, with blanks.
var buildSays = map[string]map[string]string{
	"kind":        {string(engine.OtherKind): "another kind of machine"},
	"carburettor": {string(engine.Screws): "carburettor with screws", string(engine.Capped): "carburettor screws with caps or stops", string(engine.FixedJets): "fixed jets", string(engine.SelfSetting): "self-setting carburettor"},
	"governor":    {string(engine.Yes): "governed", string(engine.No): "no governor"},
	"coil-limit":  {string(engine.Yes): "rev limiter in the ignition", string(engine.No): "no rev limiter"},
	"charge":      {string(engine.PlainCharge): "plain charge", string(engine.Stratified): "stratified charge"},
	"catalyst":    {string(engine.Yes): "catalyst in the muffler", string(engine.No): "no catalyst"},
	"filter-compensated": {
		string(engine.Yes): "carburettor makes up for a dirty filter", string(engine.No): "carburettor does not make up for a dirty filter",
	},
}

// SaysBuild gives what is known of a machine beside its engine and its speeds, in a
// few words; "" for nothing.
func SaysBuild(e Engine) string {
	var says []string
	for _, f := range engine.Fields {
		value := f.Get(Query(e, Limits{}))
		if words, ok := buildSays[f.Name]; ok && value != "" {
			says = append(says, cmp.Or(words[value], strings.ReplaceAll(value, "-", " ")))
		}
	}
	return strings.Join(says, ", ")
}

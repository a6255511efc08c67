package main

import (
	"slices"
	"strings"

	"topnote/internal/engine"
)

// flagField says what a field of a machine is, for the help.
func flagField(f engine.Field) string {
	says := fieldSays[f.Name]
	switch {
	case f.Choices == nil:
		return says
	case slices.Contains(f.Choices, string(engine.Yes)):
		return says + ", `yes` or no"
	}
	return says + ": " + strings.Join(f.Choices, ", ")
}

// fieldSays has the field of each flag in a few words. One that is not known is
// left out.
var fieldSays = map[string]string{
	"kind":               "the `kind` of machine",
	"carburettor":        "how the `carburettor` is set",
	"governor":           "a governor holds the top speed",
	"coil-limit":         "the ignition limits the top speed",
	"charge":             "the `charge` of the cylinder",
	"catalyst":           "the muffler has a catalyst",
	"filter-compensated": "the carburettor compensates for a dirty air filter",
	"gear-ratio":         "the gear `ratio`: turns of the engine for one of the spindle",
	"limit-of":           "the `shaft` whose speed the limit is",
	"limit-is":           "the `meaning` of the limit, a maximum or a figure to set the top speed to",
	"tolerance":          "the tolerance of a set-to figure, either way, `rpm`",
	"warm":               "the engine had been warmed up under some load",
	"choke-open":         "the choke was fully open",
	"filter-clean":       "the air filter was clean",
}

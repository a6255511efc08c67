package diagnose

// Cause names one thing that can change how a machine runs. The values are part
// of the schema of an explanation.
type Cause string

// Group names causes that a recording and its notes cannot tell apart, or hardly:
// they are ranked as one, and then the bench tells which of them it is. The
// values are part of the schema of an explanation.
type Group string

// The groups.
const (
	GroupNone       Group = "air"        // the air and the screws as noted; nothing else
	GroupRich       Group = "rich"       // too little air or too much fuel
	GroupFreed      Group = "freed"      // more air or power since work was done
	GroupStarved    Group = "starved"    // too little fuel, faster for it
	GroupPastPeak   Group = "past-peak"  // so lean that the speed falls again
	GroupLeak       Group = "leak"       // air past the carburettor
	GroupFuel       Group = "fuel"       // what is in the tank
	GroupRepaired   Group = "repaired"   // what had made it lean is put right
	GroupWeak       Group = "weak"       // less power or more drag, at the mixture that it had
	GroupFree       Group = "free"       // less drag
	GroupSpeedLimit Group = "speed-held" // coil or governor
	GroupMeasured   Group = "measurement"
)

// causeRow is what practice knows of one cause.
type causeRow struct {
	cause  Cause
	group  Group
	weight float64 // how often it is behind a change, against the others
	name   string
	check  string // how the bench tells; it turns no screw
	shares shares // in how many of 100 cases its signs are seen; what it does not name is as usual
	only   func(traits) bool
}

// shares are in how many of 100 cases each sign is seen.
type shares map[signCode]float64

// groupRow is what practice knows of a group.
type groupRow struct {
	group   Group
	name    string
	mixture string // "rich", "lean", "either"
	screws  string // which way people turn them for it
	lean    bool   // it makes lean, so that no screw is turned before it is ruled out
	comes   onsetKind
	before  string // before anything else is done
}

// onsetKind is how a group usually comes.
type onsetKind int

const (
	comesEither onsetKind = iota
	comesSlowly
	comesAtOnce
)

// groups are in the order in which they are listed.
//
// Source: common practice.
var groups = [...]groupRow{
	{group: GroupNone, name: "nothing but the air and the screws as noted", mixture: "with the air: cold, low and dry lean; hot, high and humid rich", screws: "with the air: out when lean, in when rich"},
	{group: GroupRich, name: "too little air (filter, exhaust, choke) or too much fuel (carburettor)", mixture: "rich", screws: "in, which hides it", comes: comesSlowly},
	{group: GroupFreed, name: "more air or a better spark since work was done on it", mixture: "lean", screws: "out", lean: true, comes: comesAtOnce},
	{group: GroupStarved, name: "too little fuel, and faster for it", mixture: "lean", screws: "out, which hides it", lean: true, comes: comesSlowly, before: "Turn no screw against it."},
	{group: GroupPastPeak, name: "so lean that it is past the peak, where the speed falls again", mixture: "lean", screws: "out, after the fault is found", lean: true, before: "No more full throttle until it is found: past the peak an engine runs hottest."},
	{group: GroupLeak, name: "a leak of air into the engine", mixture: "lean", screws: "out, which helps for a while only", lean: true, comes: comesSlowly, before: "Stop adjusting: with a leak no setting holds."},
	{group: GroupFuel, name: "the fuel: stale, of another kind, or mixed otherwise", mixture: "either", screws: "not before fresh fuel is in it", lean: true, comes: comesAtOnce, before: "Fresh fuel comes before any screw."},
	{group: GroupRepaired, name: "the repair of what had made it lean", mixture: "rich", screws: "in", comes: comesAtOnce},
	{group: GroupWeak, name: "less power or more drag: spark, compression or what the engine turns", mixture: "hardly changed", screws: "not for this", comes: comesSlowly},
	{group: GroupFree, name: "less drag: what the engine turns, or an engine that is running in", mixture: "hardly changed", screws: "not for this"},
	{group: GroupSpeedLimit, name: "a coil or a governor that holds the speed", mixture: "not told by the top speed", screws: "not by the top speed"},
	{group: GroupMeasured, name: "the reading or the record", mixture: "either", screws: "not before it is recorded again"},
}

// groupOf gives what is known of a group.
func groupOf(g Group) groupRow {
	for _, row := range groups {
		if row.group == g {
			return row
		}
	}
	return groups[0]
}

// number gives the place of a cause in the table; -1 for one that is not in it.
func number(c Cause) int {
	for i := range causeTable {
		if causeTable[i].cause == c {
			return i
		}
	}
	return -1
}

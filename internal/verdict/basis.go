package verdict

import "topnote/internal/engine"

// evidence is what the firing at full throttle without load says of a mixture.
type evidence int

const (
	byFiring evidence = iota // four-stroking is the safe side, clean the lean side
	byBurble                 // four-stroking is the safe side, clean says little
	bySpeed                  // nothing: only the speed is judged
	byLoad                   // nothing: a governor holds the speed
	unsure                   // nothing, where it is governed, which is not known
)

// judged says by what a machine is judged, for docs/verdicts.md.
func (e evidence) judged() string {
	return [...]string{
		byFiring: "burble without load, then the cut", byBurble: "burble where there is one, else the speed",
		bySpeed: "speed only", byLoad: "speed; mixture in the cut only", unsure: "depends on the governor",
	}[e]
}

// basis is one line of the table of machines: what may be concluded for a machine.
type basis struct {
	name     string // of the machine, in a few words
	when     func(engine.Spec, engine.Build) bool
	evidence evidence
	why      string   // the reason for the line, for docs/verdicts.md
	source   string   // of the reason
	says     string   // the reason in the verdict's sentence; "" where the firing counts
	do       []string // what to do for the mixture, where the firing does not count
	first    string   // what comes first wherever it is lean or far too slow; "": nothing
}

// practice is the source of what technicians agree on without a text to cite.
const practice = "common practice"

// bases is read from the top; the first that holds says what may be concluded. The
// last always does: a machine of which nothing is known is judged as a saw with
// screws is, and the sentence says on what that depends.
//
// docs/verdicts.md shows this table; a test holds the two together.
var bases = []basis{
	{
		name: "four-stroke engine", when: func(s engine.Spec, _ engine.Build) bool { return s.Strokes == 4 }, evidence: bySpeed,
		why:    "It does not four-stroke when it is rich; only its speed can be judged by ear.",
		source: "working cycle",
		says:   "The mixture of a four-stroke engine is not judged from its firing.",
		do:     []string{"Leave the speed as it is. For the mixture, follow the handbook: spark plug, smoke and pull under load tell it, not the burble."},
	},
	{
		name: "with a governor", when: func(_ engine.Spec, b engine.Build) bool { return b.Governor == engine.Yes }, evidence: byLoad,
		why:    "A carburettor governor adds fuel at its speed, so the engine four-strokes there wherever the H screw stands; another closes the throttle. Either way neither speed nor burble tells the mixture.",
		source: practice,
	},
	{
		name: "blower", when: isKind(engine.Blower), evidence: bySpeed,
		why:    "The fan always loads it, so a good one runs clean under its limit. A blocked intake makes it faster, a missing tube slower.",
		source: practice,
		says:   "The fan always loads a blower, so its firing says nothing of the mixture.",
		do: []string{
			"Compare the speed with the handbook's, with tube and nozzle fitted: a blocked intake makes it faster, a missing tube slower.",
			"For the mixture, follow the handbook; spark plug, smoke and pull tell it.",
		},
	},
	{
		name: "auger", when: isKind(engine.Auger), evidence: bySpeed,
		why:    "It is geared and often governed; without load its speed says little.",
		source: practice,
		says:   "An auger is judged under load, so its firing here says nothing of the mixture.",
		do:     []string{"Judge it while it drills, as the handbook says: it must pull without smoke, and without rising speed."},
	},
	{
		name: "pump", when: isKind(engine.Pump), evidence: bySpeed,
		why:    "The water always loads it, and many are governed. A pump must never run dry.",
		source: practice,
		says:   "The water always loads a pump, so its firing says nothing of the mixture.",
		do:     []string{"Judge it while it pumps, as the handbook says. Never run a pump dry, not even for a recording."},
	},
	{
		name: "self-setting carburettor", when: func(_ engine.Spec, b engine.Build) bool { return b.Carburettor == engine.SelfSetting }, evidence: bySpeed,
		why:    "It sets itself while it cuts, and its trimming can look like climbing or surging. After another filter, fuel or height it needs a learning run.",
		source: practice,
		says:   "A self-setting carburettor trims its own mixture, which is not judged from the firing.",
		do: []string{
			"After a new filter, other fuel or another height let it learn: cut with it for as long as the handbook says, then record again.",
			"If it pulls badly after that, have its own fault reading looked at.",
		},
	},
	{
		name: "cut-off saw, governor not known", when: func(_ engine.Spec, b engine.Build) bool { return b.Kind == engine.CutOffSaw && b.Governor != engine.No }, evidence: unsure,
		why:    "Most have a governor or a limiting coil, and four-stroke there wherever the H screw stands.",
		source: practice, first: dustFirst,
	},
	{
		name: "stratified charge", when: func(_ engine.Spec, b engine.Build) bool { return b.Charge == engine.Stratified }, evidence: byBurble,
		why:    "It burbles over a narrow range only, so many run clean at the handbook's speed. Four-stroking still is the safe side.",
		source: practice,
		says:   "An engine with stratified charge burbles over a narrow range only, so clean running is a caution and no verdict.",
		do: []string{
			"Go by the handbook's speed, not by the burble.",
			"Clean running does not prove that it is not lean: watch for a top speed that climbs, and compare with its earlier passes.",
		},
	},
	{
		name: "cut-off saw without a governor", when: isKind(engine.CutOffSaw), evidence: byFiring,
		why:    "With nothing that holds its speed it is judged as a saw is. Its plate often shows the speed of the spindle.",
		source: practice, first: dustFirst,
	},
	{
		name: "line trimmer", when: isKind(engine.Trimmer), evidence: byFiring,
		why:    "The line is a load: too long it runs clean and slow, too short it races. Passes compare only with the same head.",
		source: practice, first: "Set the line to the length of the guard's knife and record again: the line is a load, and passes compare only with the same head.",
	},
	{
		name: "brush cutter", when: isKind(engine.BrushCutter), evidence: byFiring,
		why:    "The blade hardly loads it. The limit may be that of the gearhead.",
		source: practice,
	},
	{
		name: "hedge trimmer", when: isKind(engine.HedgeTrimmer), evidence: byFiring,
		why:    "A cold gearbox drags: it climbs while the grease warms, which is no alarm.",
		source: practice, first: "Was the gearbox warm? Run it for 3 to 5 minutes and record again: cold grease drags.",
	},
	{
		name: "saw", when: isKind(engine.Saw), evidence: byFiring,
		why:    "A mixture that is rich enough misses firings without load and cleans up in the cut.",
		source: "encyclopedia article \"Four-stroking\"; common practice",
	},
	{
		name: "another machine, or not known which", when: func(engine.Spec, engine.Build) bool { return true }, evidence: byFiring,
		why:    "Judged as a saw; the sentence says what that depends on.",
		source: practice,
	},
}

// isKind holds for the machines of a kind.
func isKind(k engine.Kind) func(engine.Spec, engine.Build) bool {
	return func(_ engine.Spec, b engine.Build) bool { return b.Kind == k }
}

// basisOf gives the line of a machine.
func basisOf(s engine.Spec, b engine.Build) *basis {
	for i := range bases {
		if bases[i].when(s, b) {
			return &bases[i]
		}
	}
	return &bases[len(bases)-1]
}

// condition is something that is not known and would change a verdict.
type condition struct {
	field  string // of engine.Fields
	holds  func(*facts) bool
	of     []Code // the verdicts that it would change
	unless string // what would change them, as a clause
	given  string // or of what pass they hold, as a noun
}

// conditions has the one that matters most first; it is the one that is asked for.
//
// A saw with screws and without a limiting coil is judged without those of its
// build, as saws always were.
var conditions = []condition{
	{field: "governor", of: []Code{FourStroking, RichInCut, CleanBelowLimit}, unless: "a governor holds it", holds: func(f *facts) bool {
		return f.build.Governor == "" && !f.plainSaw()
	}},
	{field: "kind", of: []Code{CleanBelowLimit}, unless: "it drives a fan or a pump", holds: func(f *facts) bool { return f.build.Kind == "" }},
	{field: "carburettor", of: []Code{CleanBelowLimit}, unless: "its carburettor sets itself", holds: func(f *facts) bool { return f.build.Carburettor == "" }},
	{field: "charge", of: []Code{CleanBelowLimit}, unless: "its charge is stratified", holds: func(f *facts) bool {
		return f.build.Charge == "" && !f.plainSaw()
	}},
	{field: "warm", of: []Code{FourStroking, RichInCut}, given: "a warm engine", holds: func(f *facts) bool { return f.state.Warm == "" }},
	{field: "choke-open", of: []Code{FourStroking, RichInCut}, given: "a fully open choke", holds: func(f *facts) bool { return f.state.ChokeOpen == "" }},
	{field: "filter-clean", of: []Code{FourStroking, RichInCut}, given: "a clean air filter", holds: func(f *facts) bool { return f.state.FilterClean == "" }},
}

// plainSaw reports whether it is the machine that the rules were made for: a saw
// with screws, and no coil that limits its speed.
func (f *facts) plainSaw() bool {
	return f.build.Kind == engine.Saw && f.build.Carburettor == engine.Screws && f.build.CoilLimit == engine.No
}

// dustFirst comes before any screw of a cut-off saw.
const dustFirst = "Clean the air filter first: on a cut-off saw it loads with dust within hours."

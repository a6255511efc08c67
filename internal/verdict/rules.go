package verdict

// rule is one line of the table that a verdict comes from. To correct a
// verdict, change the line; the words are in says.go and says_advice.go.
type rule struct {
	code   Code
	name   string            // what was found, in a few words
	when   func(*facts) bool // whether it holds
	why    string            // the reason for the rule and for its place
	says   func(*facts) string
	advice func(*facts) []string
	asks   string // the field of engine.Fields that decides it; "": conditions say so
	whole  bool   // its sentence is of the fastest run or of the whole clip already
	faster bool   // its sentence names the run that facts.outrun gives as well
}

// rules is read from the top; the first that holds gives the verdict on a
// plateau. The order is the order of danger, with
// one twist: what would make a later line's claim unsafe comes before it.
//
// docs/verdicts.md shows this table; a test holds the two together.
var rules = []rule{
	{
		code: NotEnough,
		name: "held more than a third above the limit",
		when: (*facts).misfitOver,
		why:  "No engine runs a third over its maximum, so limit and reading do not belong together, and neither too fast nor safe is known. No screw is turned before that is settled.",
		says: saysMisfit, advice: adviceMisfit, whole: true,
	},
	{
		code: OverLimit,
		name: "held above the limit",
		when: (*facts).over,
		why:  "A speed held for half a second is no slip of a reading. It counts in any phase and for any length of clip, before anything else is asked.",
		says: saysOver, advice: adviceOver, whole: true,
	},
	{
		code: AtLimit,
		name: "the limit is within the uncertainty, or was passed for 0.2 s",
		when: func(f *facts) bool { return f.at() || f.touched() != nil },
		why:  "When above and below cannot be told apart, above has to be assumed.",
		says: saysAt, advice: adviceOver, whole: true,
	},
	{
		code: NoEngine,
		name: "nothing ran for 0.5 s",
		when: func(f *facts) bool { return f.Evidence.ToldFor < f.opt.MinEngine },
		why:  "Less than half a second of speed is a bark or a gust as easily as an engine.",
		says: saysNoEngine, advice: adviceNoEngine,
	},
	{
		code: NotEnough,
		name: "no full throttle without load for 1 s",
		when: func(f *facts) bool { return !f.longEnough() },
		why:  "Four-stroking comes and goes within a second; a shorter stretch shows either by chance.",
		says: saysShort, advice: adviceRecord,
	},
	{
		code: NotEnough,
		name: "the speed was lost or hardly believed for too much of it",
		when: func(f *facts) bool { return !f.wellTold() },
		why:  "What happened in the gaps is not known, and the fastest moment may be among it.",
		says: saysGaps, advice: adviceRecord,
	},
	{
		code: NotEnough,
		name: "uncertain readings reach the limit",
		when: (*facts).doubtful,
		why:  "Readings that err by several percent may have been above the limit; calling the rest safe would hide that.",
		says: saysDoubtful, advice: adviceRecord,
	},
	{
		code: NotEnough,
		name: "a second reading reaches the limit",
		when: func(f *facts) bool { return f.dangerousAlternative() != nil },
		why:  "Clean firing at one speed and four-stroking at its double sound nearly the same. While the faster one keeps a real share of belief, nothing can be called safe.",
		says: saysSecond, advice: adviceSecond,
	},
	{
		code: NotEnough,
		name: "a second reading, and no limit that settles it",
		when: func(f *facts) bool { return !f.limited() && f.alternative(1-f.opt.Sure) != nil },
		why:  "Of two speeds that the sound fits about as well, one is wrong by half or more: neither is told as the one.",
		says: saysSecond, advice: adviceSecond,
	},
	{
		code: NoLimit,
		name: "no limit was entered",
		when: func(f *facts) bool { return !f.limited() },
		why:  "There is no maximum speed that fits every engine, and a wrong one costs an engine. The firing is still said.",
		says: saysNoLimit, advice: adviceNoLimit, faster: true,
	},
	{
		code: NotEnough,
		name: "under three fifths of the limit",
		when: (*facts).misfitUnder,
		why:  "Full throttle without load is never so slow: limit and reading do not belong together, or the recording is in slow motion. No screw is turned before that is settled.",
		says: saysMisfit, advice: adviceMisfit, whole: true,
	},
	{
		code: BelowLimit,
		name: "a machine whose mixture is not judged by its firing, under its limit",
		when: func(f *facts) bool { return f.basis.evidence == bySpeed },
		why:  "The table of machines says which, and why: four-stroke engines, blowers, augers, pumps and self-setting carburettors.",
		says: saysBelow, advice: adviceBelow,
	},
	{
		code: Governed,
		name: "a machine with a governor, under its limit",
		when: func(f *facts) bool { return f.basis.evidence == byLoad },
		why:  "A governor holds the speed wherever the H screw stands, and one in the carburettor does it with fuel: the burble is the governor's. A lean engine hides behind it as behind a coil.",
		says: saysGoverned, advice: adviceGoverned,
	},
	{
		code: SparkLimited,
		name: "stutter, on the rev limiter",
		when: func(f *facts) bool { return f.stutter() != nil },
		why:  "A coil that cuts sparks holds the speed whatever the mixture; a lean engine hides behind it, and its stutter passes for four-stroking. It stands before the lines that read the firing, because here the firing means nothing.",
		says: saysSpark, advice: adviceSpark,
	},
	{
		code: NotEnough,
		name: "perhaps stutter",
		when: func(f *facts) bool { return f.top.Stutter != nil && f.mostlyFour() && !f.freeElsewhere() },
		why:  "Where stutter cannot be ruled out, four-stroking cannot be claimed. A run that was as fast, and whose firing shows none, rules it out: the ceiling of a coil is the same in every run. What runs clean is still warned of below.",
		says: saysPerhapsSpark, advice: adviceSpark,
	},
	{
		code: NotEnough,
		name: "four-stroking, and perhaps governed",
		when: func(f *facts) bool { return f.basis.evidence == unsure && f.firingTold() && f.mostlyFour() },
		why:  "Most cut-off saws are governed, and a governor four-strokes at its speed whatever the mixture. Whether this one is decides what the burble means.",
		says: saysPerhapsGoverned, advice: adviceGoverned, asks: "governor",
	},
	{
		code: NotEnough,
		name: "the firing cannot be told",
		when: func(f *facts) bool { return !f.firingTold() && !f.uneven() },
		why:  "Under the limit is not yet safe: a lean engine may run under it, too.",
		says: saysFiring, advice: adviceRecord,
	},
	{
		code: NotEnough,
		name: "clean, but far too slow for no load",
		when: func(f *facts) bool { return !f.mostlyFour() && f.farUnder() },
		why:  "An engine that runs clean at full throttle without load races. This one was loaded, or the throttle was not open, or it is short of fuel or air; the mixture cannot be read from it.",
		says: saysSlow, advice: adviceSlow,
	},
	{
		code: BelowLimit,
		name: "clean, on an engine with stratified charge",
		when: func(f *facts) bool { return !f.mostlyFour() && f.basis.evidence == byBurble },
		why:  "Such an engine burbles over a narrow range only. Clean running is a caution there, not the lean side by itself; the handbook's speed decides.",
		says: saysBelow, advice: adviceBelow,
	},
	{
		code: CleanBelowLimit,
		name: "uneven, and for most of the time without a pattern of missed firings",
		when: (*facts).uneven,
		why:  "Raggedness without a pattern is no four-stroking; lean engines are ragged as well. What is not shown to four-stroke counts as lean.",
		says: saysUneven, advice: adviceClean,
	},
	{
		code: CleanBelowLimit,
		name: "clean, or four-stroking for less than most of the time",
		when: func(f *facts) bool { return !f.mostlyFour() },
		why:  "Without load a safe two-stroke misses firings. A mixture of clean and four-stroking is the edge, and an edge moves with the weather: it counts as lean.",
		says: saysClean, advice: adviceClean,
	},
	{
		code: CleanBelowLimit,
		name: "four-stroking that cleans up for 1.5 s at full speed",
		when: (*facts).cleansUp,
		why:  "A load that cleans up the firing also lowers the speed. Where the speed stays, the mixture has become leaner while it ran.",
		says: saysCleansUp, advice: adviceClean,
	},
	{
		code: NotEnough,
		name: "a second reading with another firing",
		when: func(f *facts) bool { return f.alternative(1-f.opt.Sure) != nil },
		why:  "At half of the speed the same sound is clean firing. Safe needs both readings to say so.",
		says: saysSecond, advice: adviceSecond,
	},
	{
		code: RichInCut,
		name: "four-stroking in the cut as well",
		when: (*facts).richInCut,
		why:  "In the cut the mixture should clean up; where it does not for most of the time, with the error of such a share, it is too rich. Stands below every line that warns of lean, because its advice is to lean.",
		says: saysRichCut, advice: adviceRichCut,
	},
	{
		code: RichInCut,
		name: "four-stroking, far under the limit",
		when: (*facts).farUnder,
		why:  "So much speed is not lost to a healthy rich mixture. Other things slow an engine, too, and are looked for first.",
		says: saysRichFar, advice: adviceRichFar,
	},
	{
		code: FourStroking,
		name: "four-stroking for most of the time, under the limit",
		when: func(*facts) bool { return true },
		why:  "The wanted state. It is reached only when none of the lines above holds.",
		says: saysFour, advice: adviceFour,
	},
}

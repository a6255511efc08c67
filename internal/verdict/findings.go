package verdict

// sign is one line of the table of findings.
type sign struct {
	code string            // part of the report's schema
	when func(*facts) bool // whether it is there
	why  string            // what it means
	says func(*facts) string
	from []string // causes, most likely first
	do   string

	// A finding that is more dangerous than the verdict comes before it: danger is
	// its rank on the scale of Code.Danger, 0 for what only follows.
	danger int
}

// signs has what else a technician would hear, most dangerous first.
// docs/verdicts.md shows this table; a test holds the two together.
var signs = []sign{
	{
		code:   "no-return",
		when:   (*facts).doesNotReturn,
		why:    "An engine that does not come back to idle is fed air or fuel that the throttle does not control.",
		says:   saysNoReturn,
		from:   []string{"throttle or cable that sticks", "air leak at intake boot, gasket or crank seal", "L screw too lean", "idle screw too far in"},
		do:     "Be ready at the stop switch, then the choke. Do not use the machine until the cause is found.",
		danger: 4,
	},
	{
		code: "chain-driven",
		when: (*facts).chainDriven,
		why:  "At or above its engagement speed the clutch drives the chain or tool, with nobody's finger on the throttle.",
		says: saysChain,
		from: []string{"start-throttle latch still on", "L screw too lean or air leak", "idle screw too far in", "clutch springs worn or broken"},
		do: "Do not use the machine. Is the start-throttle latch still on? One touch of the throttle frees it. Else set L first, then turn the idle screw back " +
			"until chain or tool stands still; if the engine then dies, the mixture or a leak is the cause.",
		danger: 4,
	},
	{
		code:   "runs-on",
		when:   (*facts).runsOn,
		why:    "A speed that hangs above the engagement speed drives the chain or tool on after the throttle was let go, when everybody takes it for standing still.",
		says:   saysRunsOn,
		from:   []string{"L screw too lean", "air leak at intake boot, gasket or crank seal", "throttle that closes slowly"},
		do:     "Do not use the machine until it comes straight back to idle.",
		danger: 4,
	},
	{
		code:   "climbs",
		when:   func(f *facts) bool { return f.climbs() && !f.gearboxWarms() },
		why:    "A speed that keeps climbing at steady throttle is becoming leaner or losing its load.",
		says:   saysClimbs,
		from:   []string{"air leak that opens with heat", "fuel level falling: filter, line, screen, tank vent (breather)", "H screw too lean", "an engine that was still cold", "a self-setting carburettor that trims"},
		do:     "Let go at the first sign of it. Warm up, record again; if it climbs again, look for a leak before touching a screw.",
		danger: 3,
	},
	{
		code:   "sinks",
		when:   (*facts).sinks,
		why:    "A speed that keeps falling at steady throttle is an engine that nips up, one that runs out of fuel, or a load.",
		says:   saysSinks,
		from:   []string{"overheating from a lean mixture or too little oil: nipping up", "starved of fuel: filter, line, screen, tank vent (breather)", "becoming richer as it warms", "brake, chain or tool that drags"},
		do:     "Let go and feel whether it turns freely when stopped. Do not repeat full throttle before that is known.",
		danger: 3,
	},
	{
		code: "gearbox-warming",
		when: func(f *facts) bool { return f.climbs() && f.gearboxWarms() },
		why:  "The cold grease of a hedge trimmer's gearbox drags, so it gets faster while that warms.",
		says: saysClimbs,
		from: []string{"a gearbox that was still cold", "air leak that opens with heat", "H screw too lean"},
		do:   "Run it for 3 to 5 minutes and record again. If it climbs then, too, treat it as lean.",
	},
	{
		code: "touched-limit",
		when: func(f *facts) bool {
			return f.limited() && f.TopEnd != nil && f.TopEnd.Peak.Speed >= f.ceiling() && !f.misfitOver()
		},
		why:  "A single reading above the limit may be a slip, or the moment in which the engine raced.",
		says: saysTouched,
		from: []string{"lean on opening", "a slip of the reading"},
		do:   "Record again; if it comes again, treat it as too fast.",
	},
	{
		code: "hangs",
		when: (*facts).hangs,
		why:  "A speed that hangs above idle before it settles is the classic sign of a lean idle mixture or an air leak.",
		says: saysHangs,
		from: []string{"L screw too lean", "air leak at intake boot, gasket or crank seal", "throttle that closes slowly"},
		do:   "If no screw was turned, look for a leak first, by a pressure and vacuum test. Else open the L screw by 1/8 turn, then set the idle again.",
	},
	{
		code: "sags",
		when: func(f *facts) bool {
			return f.Rise != nil && f.Rise.Sag.Speed >= f.Rise.Idle*scaled(f.opt.MinSag) &&
				f.Rise.Sag.Speed >= scaled(f.opt.SignificantSD)*f.Rise.Sag.SD
		},
		why:  "A dip when the throttle is opened is a mixture that is too lean, less often too rich, off idle.",
		says: saysSags,
		from: []string{"L screw too lean", "accelerator pump worn", "L screw too rich, with smoke"},
		do:   "Open the L screw by 1/8 turn and open the throttle again; if it gets worse, go back and the other way.",
	},
	{
		code: "surges",
		when: surges,
		why:  "A top speed that swells and fades by itself is being starved and refilled.",
		says: saysSurges,
		from: []string{"fuel filter, line or screen partly blocked", "tank vent (breather) blocked", "air leak", "governor hunting, or a self-setting carburettor that trims"},
		do:   "Look at the fuel supply before touching a screw.",
	},
	{
		code: "near-clutch",
		when: func(f *facts) bool {
			return f.Idle != nil && f.Idle.ClutchRatio > 0 && f.Idle.ClutchRatio < f.opt.ClutchRatio && !f.chainDriven()
		},
		why:  "Common practice wants the clutch to engage at least a quarter above idle, so that a small change of idle does not move chain or tool.",
		says: saysNearClutch,
		from: []string{"idle screw too far in", "L screw too lean", "clutch springs worn"},
		do:   "Turn the idle screw back to the speed in the handbook.",
	},
	{
		code: "slow-rise",
		when: func(f *facts) bool { return f.Rise != nil && f.Rise.Time.Time >= f.opt.SlowRise },
		why:  "A healthy saw is at nine tenths of its top in well under a second when the throttle is snapped open.",
		says: saysSlowRise,
		from: []string{"throttle opened slowly (then this means nothing)", "L screw too rich, where it burbles on the way", "air filter or spark arrester screen blocked", "L screw too lean, where it hesitates"},
		do:   "Open the throttle at once and record again before turning anything.",
	},
	{
		code: "slow-back",
		when: func(f *facts) bool {
			return f.basis.evidence != bySpeed && f.Cut != nil && f.Cut.Recovery != nil && f.Cut.Recovery.Time >= f.opt.SlowBack
		},
		why:  "Out of the cut an engine should race up at once; slow means rich or weak.",
		says: saysSlowBack,
		from: []string{"lifted out of the cut slowly (then this means nothing)", "H screw too rich", "air filter or spark arrester screen blocked"},
		do:   "Compare with another cut before turning anything.",
	},
	{
		code: "partly-rich-in-cut",
		when: func(f *facts) bool {
			four, told := f.cutFiring()
			return told && four >= f.opt.PartlyRich && !f.richInCut() && f.basis.evidence != bySpeed
		},
		why:  "In the cut it should run clean throughout; some four-stroking there is the rich end of usable.",
		says: saysPartlyRich,
		from: []string{"H screw somewhat rich", "light cut or throttle not fully open", "air filter loaded"},
		do:   "Clean the air filter and record a firm cut before turning the H screw.",
	},
	{
		code: "hunts",
		when: func(f *facts) bool {
			return f.Idle != nil && f.Idle.Hunting != nil && f.Idle.Hunting.Depth >= f.Idle.Speed.Speed*scaled(f.opt.MinHunt)
		},
		why:  "An idle that goes up and down in a slow beat loads up and clears again.",
		says: saysHunts,
		from: []string{"L screw too rich (dips, then catches itself) or too lean (races, then falls)", "small air leak", "needle valve or diaphragm"},
		do:   "Set the L screw in steps of 1/8 turn for the highest smooth idle, open it 1/8, then set the idle screw.",
	},
	{
		code: "unsteady-idle",
		when: func(f *facts) bool {
			return f.Idle != nil && f.Idle.Hunting == nil && f.Idle.Spread >= f.Idle.Speed.Speed*scaled(f.opt.MinSpread)
		},
		why:  "An idle that wanders without a beat fires by chance.",
		says: saysUnsteady,
		from: []string{"L screw off", "spark plug fouled", "stale fuel", "small air leak"},
		do:   "Plug and fresh fuel first, then the L screw in steps of 1/8 turn.",
	},
	{
		code: "idle-fast",
		when: func(f *facts) bool {
			return f.Idle != nil && f.Idle.AboveEntered >= f.limits.Idle*scaled(f.opt.IdleOff) && f.limits.Idle.Told()
		},
		why:  "Faster than the handbook's idle is nearer to the clutch, and can be a leak that the screw was set against.",
		says: saysIdleOff,
		from: []string{"idle screw too far in", "L screw too lean", "air leak"},
		do:   "Turn the idle screw back to the speed in the handbook; if it will not come down, look for a leak.",
	},
	{
		code: "idle-slow",
		when: func(f *facts) bool {
			return f.Idle != nil && -f.Idle.AboveEntered >= f.limits.Idle*scaled(f.opt.IdleOff) && f.limits.Idle.Told()
		},
		why:  "Slower than the handbook's idle dies easily when tipped.",
		says: saysIdleOff,
		from: []string{"idle screw too far out", "L screw too rich", "air filter blocked"},
		do:   "Clean the air filter, then bring the idle screw up to the speed in the handbook.",
	},
	{
		code: "leaps",
		when: func(f *facts) bool { return len(f.Evidence.Jumps) > 0 },
		why:  "A shaft cannot double or halve its speed at once: one side of the leap is a wrong reading.",
		says: saysLeaps,
		from: []string{"a second engine", "firing that changes with the speed", "a weak recording"},
		do:   "Take the speeds of this recording with care and record again.",
	},
	{
		code: "milder-run",
		when: func(f *facts) bool { return f.milder() != nil },
		why:  "The worst run of a recording gives its verdict; another run of it sounded better.",
		says: saysMilder,
		from: []string{"a screw turned in between", "an engine that warmed up, or a leak that opened with the heat", "a light cut in one of them"},
		do:   "Go by the worst. Make one recording for each setting, so that they can be told apart.",
	},
}

// findingsOf gives what was found besides the verdict. What the verdict itself says
// is not said again.
func findingsOf(f *facts, verdict Code) []Finding {
	var out []Finding
	for _, s := range present(f) {
		if s.code == "touched-limit" && (verdict == OverLimit || verdict == AtLimit) {
			continue
		}
		out = append(out, Finding{Code: s.code, Says: s.says(f), Causes: s.from, Advice: s.do})
	}
	return out
}

// present gives the signs that are there.
func present(f *facts) []sign {
	var out []sign
	for _, s := range signs {
		if s.when(f) {
			out = append(out, s)
		}
	}
	return out
}

// worse gives the most dangerous sign that is there and more dangerous than a
// verdict, nil for none.
func worse(f *facts, verdict Code) *sign {
	var worst *sign
	for _, s := range present(f) {
		if s.danger > verdict.Danger() && (worst == nil || s.danger > worst.danger) {
			worst = &s
		}
	}
	return worst
}

// FindingDanger ranks a finding by its code, on the scale of Code.Danger; 0 for
// one that is not dangerous or not known.
func FindingDanger(code string) int {
	for _, s := range signs {
		if s.code == code {
			return s.danger
		}
	}
	return 0
}

package diagnose

import "topnote/internal/engine"

// The causes. The values are part of the schema of an explanation.
const (
	CauseNone           Cause = "air"
	CauseFilterLoaded   Cause = "air-filter-loaded"
	CauseExhaust        Cause = "exhaust-blocked"
	CauseChoke          Cause = "choke-on"
	CauseFlap           Cause = "intake-flap"
	CauseFilterNew      Cause = "air-filter-renewed"
	CauseExhaustCleared Cause = "exhaust-cleared"
	CauseMuffler        Cause = "muffler-opened"
	CauseSparkRenewed   Cause = "spark-renewed"
	CauseStarved        Cause = "fuel-starved"
	CauseVent           Cause = "tank-vent"
	CausePump           Cause = "fuel-pump"
	CauseStiff          Cause = "metering-stiff"
	CauseStarvedPast    Cause = "fuel-starved-past-peak"
	CauseLeakPast       Cause = "leak-past-peak"
	CauseSeal           Cause = "crank-seal"
	CauseGasket         Cause = "base-gasket"
	CauseBoot           Cause = "intake-boot"
	CauseThrottleShaft  Cause = "throttle-shaft"
	CauseDecompression  Cause = "decompression-valve"
	CauseStale          Cause = "fuel-stale"
	CauseEthanol        Cause = "fuel-ethanol"
	CauseAlkylate       Cause = "fuel-alkylate"
	CauseOil            Cause = "oil-ratio"
	CauseCleared        Cause = "fuel-system-cleared"
	CauseFuelFilter     Cause = "fuel-filter-renewed"
	CauseCarburettor    Cause = "carburettor-rebuilt"
	CausePumpRepaired   Cause = "fuel-pump-repaired"
	CauseLeakRepaired   Cause = "leak-repaired"
	CauseNeedle         Cause = "needle-leaks"
	CauseSpark          Cause = "weak-spark"
	CauseCompression    Cause = "low-compression"
	CauseReed           Cause = "reed"
	CauseValves         Cause = "valve-clearance"
	CauseDrag           Cause = "load-more"
	CauseLessDrag       Cause = "load-less"
	CauseRunningIn      Cause = "running-in"
	CauseCoil           Cause = "coil-limit"
	CauseGovernor       Cause = "governor"
	CauseMeasured       Cause = "measurement"
)

// causeTable holds the causes with their signs. All figures are common practice
// that we put into numbers: read "idleHigher: 65" as "of 100 machines with such a
// leak, 65 idle higher than before". The sense of each is argued in docs/causes.md.
// To correct the program, correct the number. Two causes at once show the signs of
// both. docs/causes.md shows this table, and a test compares the two.
var causeTable = [...]causeRow{
	{CauseNone, GroupNone, 400, "nothing but the air and the screws as noted", "Nothing else needs looking for: follow the verdict of the pass itself.",
		shares{faster: 2, slower: 2, burblesLess: 2, burblesMore: 2, slowly: 50, atOnce: 50, leanAgain: 4, uneven: 8}, nil},

	// Too little air. All of these slow it, as rich does, and come mostly by and by.
	{CauseFilterLoaded, GroupRich, 105, "a loaded air filter", "Look at the air filter and its cover; clean or renew it.",
		shares{slower: 88, burblesMore: 80, staysClean: 4, slowly: 80, atOnce: 25, filterDirty: 55, filterClean: 8, idleLower: 15, weakInCut: 45, risesSlower: 35, richInCut: 20, burblesLess: 3}, nil},
	{CauseExhaust, GroupRich, 35, "an exhaust blocked by carbon: spark arrester screen, muffler or port", "Take the spark arrester screen out and look at the exhaust port; clean both.",
		shares{slower: 88, burblesMore: 60, staysClean: 8, slowly: 85, atOnce: 20, weakInCut: 65, risesSlower: 45, burblesLess: 3}, nil},
	{CauseChoke, GroupRich, 14, "a choke that is not fully open", "See that the choke is fully open, by hand at its shaft.",
		shares{slower: 85, burblesMore: 85, staysClean: 3, slowly: 8, atOnce: 90, chokeOn: 80, idleLower: 40, uneven: 40, richInCut: 50, weakInCut: 50, risesSlower: 60, bogs: 20, burblesLess: 3}, nil},
	{CauseFlap, GroupRich, 5, "an intake flap set for the wrong season", "See that the winter flap is set for the weather of the day.",
		shares{staysClean: 5, slower: 75, burblesMore: 60, slowly: 20, atOnce: 80, risesSlower: 25, burblesLess: 3}, notFan},

	// More air or power, at once, with the work. What it makes lean was rich before.
	{CauseFilterNew, GroupFreed, 50, "a new or cleaned air filter", askFilter,
		shares{faster: 88, burblesLess: 80, atOnce: 85, slowly: 20, takesBack: 45, filterRenewed: 75, filterDirty: 2}, nil},
	{CauseExhaustCleared, GroupFreed, 8, "a cleaned spark arrester screen or exhaust", "Was the arrester screen or the exhaust cleaned? Then it only has its power back.",
		shares{faster: 85, burblesLess: 60, atOnce: 90, slowly: 10, takesBack: 50, exhaustCleaned: 80}, nil},
	{CauseMuffler, GroupFreed, 5, "an opened muffler", "Is the muffler opened, its screen left out, or its gasket blown? Put it back as the maker has it.",
		shares{faster: 80, burblesLess: 75, atOnce: 90, slowly: 10, mufflerOpened: 65, leanAgain: 20}, nil},
	{CauseSparkRenewed, GroupFreed, 8, "a new spark plug or coil", "Was the plug or the coil renewed? Then it fires again as it should.",
		shares{faster: 60, burblesLess: 45, atOnce: 90, slowly: 5, takesBack: 40, sparkWork: 85}, nil},

	// Too little fuel, before the peak: leaner is faster.
	{CauseStarved, GroupStarved, 72, "a restricted fuel line, fuel filter, inlet screen or jet", "Change the fuel filter, look at the fuel line and clean the inlet screen; record again, after which it must run richer.",
		shares{faster: 88, burblesLess: 85, staysClean: 18, slowly: 75, atOnce: 35, sinks: 40, uneven: 20, hangs: 15, climbs: 12, idleLower: 12, leanAgain: 40, bogs: 25}, nil},
	{CauseVent, GroupStarved, 20, "a blocked tank vent", "Loosen the tank cap and run it again: if that cures it, the vent is blocked.",
		shares{faster: 70, slower: 15, burblesLess: 75, staysClean: 20, slowly: 40, atOnce: 65, sinks: 75, climbs: 20, uneven: 30, capCures: 45, leanAgain: 40}, nil},
	{CausePump, GroupStarved, 18, "a failing pump diaphragm or impulse line", "Look at the impulse line for cracks and at the pump diaphragm; both fail worst when it runs long.",
		shares{faster: 65, slower: 20, burblesLess: 75, staysClean: 20, slowly: 65, atOnce: 45, sinks: 75, uneven: 30, leanAgain: 40, bogs: 30}, nil},
	{CauseStiff, GroupStarved, 12, "a stiff metering diaphragm or a lever set too low", "Fit a new metering diaphragm, set its lever by the handbook, and test the needle's opening pressure.",
		shares{faster: 82, burblesLess: 80, staysClean: 18, slowly: 75, atOnce: 40, idleHigher: 25, hangs: 35, bogs: 40, leanAgain: 40, longStand: 35, uneven: 25}, nil},

	// Past the peak: leaner still is slower, hot and weak.
	{CauseStarvedPast, GroupPastPeak, 45, "a fuel supply that starves it past the peak", "Change the fuel filter, look at line, tank vent, inlet screen and impulse line; look at the piston through the exhaust port before it runs again.",
		shares{slower: 90, faster: 3, burblesLess: 80, staysClean: 75, slowly: 60, atOnce: 55, sinks: 40, uneven: 25, hangs: 20, weakInCut: 70, risesSlower: 50, bogs: 45, againstAir: 65, leanAgain: 30}, nil},
	{CauseLeakPast, GroupPastPeak, 18, "a leak that leans it past the peak", "Test the crankcase by pressure and by vacuum, the crank turned; look at the piston through the exhaust port before it runs again.",
		shares{slower: 88, faster: 3, burblesLess: 80, staysClean: 75, slowly: 75, atOnce: 45, idleHigher: 60, hangs: 60, climbs: 15, sinks: 20, uneven: 30, weakInCut: 65, risesSlower: 40, bogs: 40, againstAir: 65, leanAgain: 40}, nil},

	// Air past the carburettor: lean everywhere, most of all with the throttle shut.
	{CauseSeal, GroupLeak, 50, "a leaking crank seal", "Test the crankcase by pressure and by vacuum, the crank turned, and renew the seal that leaks.",
		shares{faster: 86, slower: 3, burblesLess: 80, staysClean: 18, slowly: 82, atOnce: 28, idleHigher: 65, idleLower: 3, hangs: 65, climbs: 40, sinks: 6, uneven: 25, leanAgain: 55}, nil},
	{CauseGasket, GroupLeak, 22, "a leaking cylinder base gasket", "Under the same test, soapy water on the joint of the cylinder base shows a leaking gasket.",
		shares{faster: 86, slower: 3, burblesLess: 80, staysClean: 18, slowly: 75, atOnce: 40, idleHigher: 60, idleLower: 3, hangs: 60, climbs: 40, sinks: 6, uneven: 25, leanAgain: 55}, nil},
	{CauseBoot, GroupLeak, 30, "a leaking intake boot or clamp", "Rock and tilt the machine at idle: if the speed changes, look at the intake boot and its clamps.",
		shares{faster: 82, slower: 4, burblesLess: 78, staysClean: 18, slowly: 55, atOnce: 55, idleHigher: 62, idleLower: 4, hangs: 62, climbs: 35, sinks: 8, uneven: 40, leanAgain: 50, tilts: 60}, nil},
	{CauseThrottleShaft, GroupLeak, 8, "a worn throttle shaft", "Feel for play of the throttle shaft: it lets air in at idle.",
		shares{faster: 20, burblesLess: 20, slowly: 70, idleHigher: 50, hangs: 45, uneven: 65, bogs: 35, leanAgain: 20}, nil},
	{CauseDecompression, GroupLeak, 5, "a decompression valve that leaks", "See that the decompression valve closes and holds.",
		shares{slower: 60, faster: 15, burblesLess: 35, slowly: 55, atOnce: 60, weakInCut: 65, risesSlower: 50, idleLower: 30, uneven: 25}, hasDecompression},

	// What is in the tank.
	{CauseStale, GroupFuel, 34, "stale fuel", "Empty the tank, fill it with fresh fuel of the right oil ratio, and record again.",
		shares{slower: 48, faster: 42, burblesMore: 42, burblesLess: 40, slowly: 40, atOnce: 70, fuelOld: 50, fuelOther: 25, longStand: 60, uneven: 60, idleLower: 35, idleHigher: 12, hangs: 15, sinks: 20, risesSlower: 20}, nil},
	{CauseEthanol, GroupFuel, 9, "fuel with more or less ethanol", "Fill it with the fuel that it was set on, and record again. 10 % of ethanol makes it 3 to 4 % leaner.",
		shares{faster: 55, slower: 20, burblesLess: 50, burblesMore: 18, atOnce: 92, slowly: 8, fuelEthanol: 80, uneven: 12}, nil},
	{CauseAlkylate, GroupFuel, 7, "alkylate fuel, or from it to pump petrol", "Record again after a tank of it, and judge that pass by itself: it can go either way.",
		shares{faster: 42, slower: 42, burblesLess: 40, burblesMore: 40, atOnce: 92, slowly: 8, fuelAlkylate: 80}, nil},
	{CauseOil, GroupFuel, 9, "another oil ratio", "Fill it with fresh fuel of the right oil ratio, and record again. More oil is slightly leaner, smokes and fouls the plug.",
		shares{faster: 45, slower: 20, burblesLess: 40, burblesMore: 15, atOnce: 92, slowly: 8, oilRatio: 85, uneven: 35, idleLower: 25}, nil},

	// What had made it lean is put right: richer, at once, with the work.
	{CauseCleared, GroupRepaired, 18, "a cleared restriction of the fuel system", "Was line, screen, jet or vent cleaned or renewed? Then an H that was opened against the restriction is too rich now.",
		shares{staysClean: 5, slower: 85, burblesMore: 80, atOnce: 88, slowly: 15, takesBack: 55, fuelCleared: 80, risesSlower: 20, burblesLess: 3}, nil},
	{CauseFuelFilter, GroupRepaired, 9, "a new fuel filter", "Was the fuel filter renewed? By itself it changes little, unless the old one was blocked.",
		shares{slower: 55, burblesMore: 50, atOnce: 90, slowly: 10, takesBack: 35, fuelFilterWork: 85}, nil},
	{CauseCarburettor, GroupRepaired, 14, "a carburettor that was cleaned or rebuilt", "Set the carburettor anew by the handbook, L first and then H: after such work no earlier setting holds.",
		shares{slower: 52, faster: 40, burblesMore: 50, burblesLess: 38, atOnce: 95, slowly: 5, takesBack: 35, carburettorWork: 88, idleHigher: 35, idleLower: 35, uneven: 30, hangs: 20, bogs: 20}, nil},
	{CausePumpRepaired, GroupRepaired, 5, "a new impulse line or pump diaphragm", "Was the impulse line or the pump diaphragm renewed? Then it gets its fuel again.",
		shares{staysClean: 5, slower: 75, burblesMore: 72, atOnce: 92, slowly: 8, takesBack: 55, pumpWork: 85, risesSlower: 20, burblesLess: 3}, nil},
	{CauseLeakRepaired, GroupRepaired, 8, "a repaired leak", "Was a seal, a gasket or the intake boot renewed? Then an H that was opened against the leak is too rich now.",
		shares{staysClean: 5, slower: 82, burblesMore: 80, atOnce: 92, slowly: 8, takesBack: 55, leakWork: 85, idleLower: 50, risesSlower: 20, burblesLess: 3}, nil},

	// Too much fuel, at idle as well.
	{CauseNeedle, GroupRich, 20, "a worn needle or a lever set too high", "Test the needle for its opening pressure and whether it holds; set the lever by the handbook.",
		shares{slower: 85, burblesMore: 85, staysClean: 3, slowly: 60, atOnce: 50, idleLower: 65, uneven: 45, richInCut: 60, weakInCut: 45, risesSlower: 45, burblesLess: 3}, nil},

	// Less power at the same mixture: slower without more burble.
	{CauseSpark, GroupWeak, 20, "a weak coil or plug", "Fit a known good plug with the right gap; if it fails hot only, test the coil hot.",
		shares{slower: 80, burblesMore: 30, burblesLess: 30, staysClean: 18, slowly: 45, atOnce: 60, uneven: 65, weakInCut: 70, risesSlower: 50, bogs: 20}, nil},
	{CauseCompression, GroupWeak, 22, "low compression: rings, piston or cylinder", "Test the compression against the handbook, and look at the piston through the exhaust port.",
		shares{slower: 85, burblesMore: 15, burblesLess: 40, staysClean: 20, slowly: 85, atOnce: 15, weakInCut: 80, risesSlower: 70, idleLower: 40, uneven: 12}, nil},
	{CauseReed, GroupWeak, 4, "a reed that does not close", "Look at the reeds: chipped, bent or not closing.",
		shares{slower: 75, burblesMore: 15, slowly: 45, atOnce: 55, weakInCut: 60, risesSlower: 65, idleLower: 35, uneven: 45, bogs: 45, burblesLess: 35}, nil},
	{CauseValves, GroupWeak, 30, "a wrong valve clearance", "Set the valve clearance by the handbook.",
		shares{slower: 75, slowly: 85, atOnce: 15, weakInCut: 60, risesSlower: 50, uneven: 40}, fourStroke},

	// The load: mixture as it was.
	{CauseDrag, GroupWeak, 38, "", "",
		shares{slower: 88, burblesMore: 10, burblesLess: 45, staysClean: 20, slowly: 45, atOnce: 60, fallsSooner: 60, risesSlower: 40, weakInCut: 35, toolChanged: 35}, nil},
	{CauseLessDrag, GroupFree, 15, "", "",
		shares{faster: 86, burblesLess: 10, burblesMore: 22, staysClean: 18, atOnce: 85, slowly: 15, fallsLater: 55, toolChanged: 55}, nil},
	{CauseRunningIn, GroupFree, 12, "a new engine or piston in its first tanks", "Run it in by the handbook, rich and below its maximum; record again when the first tanks are through.",
		shares{faster: 82, burblesLess: 25, burblesMore: 8, slowly: 88, atOnce: 10, engineNew: 85}, nil},

	{CauseCoil, GroupSpeedLimit, 30, "a coil that limits the speed", "Judge it below that ceiling: by the steps of its verdict.",
		shares{pinned: 95, faster: 10, slower: 20, staysClean: 8}, nil},
	{CauseGovernor, GroupSpeedLimit, 20, "a governor that holds the speed", "A governor holds the top speed, so it says nothing of the mixture: follow the handbook of the machine.",
		shares{governed: 95, faster: 10, slower: 10}, maybeGoverned},
	{CauseMeasured, GroupMeasured, 45, "a misread or cold pass, or a screw or a day that was not noted", "Record once more, warm, choke fully open, with the same tool, and note screws, air, filter and fuel.",
		shares{faster: 35, slower: 35, burblesMore: 25, burblesLess: 25, atOnce: 75, slowly: 30, doubtful: 65, cold: 50, uneven: 30, idleHigher: 15, idleLower: 15, againstAir: 25}, nil},
}

// askFilter is what to ask of a renewed air filter where the book does not know it.
const askFilter = "Was H set on the old, dirty filter? Then that setting is lean now. Set on a clean one, the setting is restored."

func notFan(m traits) bool           { return m.kind != engine.Blower }
func hasDecompression(m traits) bool { return m.kind == engine.Saw || m.kind == engine.CutOffSaw }
func fourStroke(m traits) bool       { return m.fourStroke }
func maybeGoverned(m traits) bool    { return m.governor != engine.No }

package diagnose

// signCode names a sign.
type signCode string

// The signs: what is found in two passes and in those around them, or noted.
const (
	faster      signCode = "faster" // than air and screws explain
	slower      signCode = "slower"
	burblesLess signCode = "burbles-less" // four-strokes less than air and screws explain
	burblesMore signCode = "burbles-more"
	staysClean  signCode = "stays-clean" // runs clean in both passes
	againstAir  signCode = "against-air" // leaner air slowed it, or richer air sped it up
	slowly      signCode = "slowly"
	atOnce      signCode = "at-once"
	takesBack   signCode = "takes-back"
	leanAgain   signCode = "lean-again"
	longStand   signCode = "long-stand"

	idleHigher  signCode = "idle-higher"
	idleLower   signCode = "idle-lower"
	hangs       signCode = "hangs"
	climbs      signCode = "climbs"
	sinks       signCode = "sinks"
	uneven      signCode = "uneven"
	bogs        signCode = "bogs"
	risesSlower signCode = "rises-slower"
	fallsSooner signCode = "falls-sooner"
	fallsLater  signCode = "falls-later"
	weakInCut   signCode = "weak-in-cut"
	richInCut   signCode = "rich-in-cut"
	pinned      signCode = "pinned"
	governed    signCode = "governed"
	doubtful    signCode = "doubtful"

	cold        signCode = "cold"
	chokeOn     signCode = "choke-on"
	filterClean signCode = "filter-clean"
	filterDirty signCode = "filter-dirty"

	filterRenewed   signCode = "filter-renewed"
	fuelFilterWork  signCode = "fuel-filter-renewed"
	fuelCleared     signCode = "fuel-system-cleared"
	pumpWork        signCode = "fuel-pump-renewed"
	carburettorWork signCode = "carburettor-work"
	sparkWork       signCode = "spark-renewed"
	exhaustCleaned  signCode = "exhaust-cleaned"
	mufflerOpened   signCode = "muffler-opened"
	leakWork        signCode = "seal-renewed"
	engineNew       signCode = "engine-new"
	toolChanged     signCode = "tool-changed"
	fuelOld         signCode = "fuel-old"
	fuelOther       signCode = "fuel-other"
	fuelEthanol     signCode = "fuel-ethanol"
	fuelAlkylate    signCode = "fuel-alkylate"
	oilRatio        signCode = "oil-ratio"
	tilts           signCode = "changes-when-tilted"
	capCures        signCode = "cap-loosened"
)

// sign is one line of the table of signs.
type sign struct {
	code   signCode
	usual  float64                    // in how many of 100 cases it is seen where a cause has nothing to do with it
	check  func(*comparison) presence // looks for it
	seen   func(*comparison) string   // what is said where it is present
	unseen func(*comparison) string   // where it was looked for and is absent
}

// presence says how surely a sign is present.
type presence struct {
	told        bool    // it could be looked for
	probability float64 // 0 to 1: that it is present
}

// signTable holds the signs in the order in which a master asks for them. The usual
// shares are common practice, as the shares of causeTable are.
var signTable = [...]sign{
	{faster, 5, (*comparison).checkFaster, saysFaster, saysNotFaster},
	{slower, 5, (*comparison).checkSlower, saysSlower, saysNotSlower},
	{burblesLess, 6, (*comparison).checkBurblesLess, saysBurblesLess, saysNotBurblesLess},
	{burblesMore, 6, (*comparison).checkBurblesMore, saysBurblesMore, saysNotBurblesMore},
	{staysClean, 12, (*comparison).checkStaysClean, says("it runs clean in both passes, so its speed alone does not tell richer from leaner"), says("it does not run clean in both passes")},
	{againstAir, 8, (*comparison).checkAgainstAir, says("it went against the air of the day: leaner air slowed it, or richer air sped it up"), says("it went with the air of the day")},
	{slowly, 50, (*comparison).checkGradual, saysSlowly, saysAtOnce},
	{atOnce, 50, (*comparison).checkSudden, saysAtOnce, saysSlowly},
	{takesBack, 8, (*comparison).checkReversal, saysTakenBack, says("it takes nothing back that had crept in before")},
	{leanAgain, 5, (*comparison).checkLeanAgain, says("H was opened, and lean came back"), says("lean did not come back after H was opened")},
	{longStand, 20, (*comparison).checkLongStand, saysLongStand, says("it did not stand for long between the passes")},

	{idleHigher, 7, (*comparison).checkIdleHigher, saysIdle("is higher"), saysIdle("is not higher")},
	{idleLower, 10, (*comparison).checkIdleLower, saysIdle("is lower"), saysIdle("is not lower")},
	{hangs, 5, (*comparison).checkHang, says("on its way back to idle it hangs, or takes longer than it did"), says("it comes back to idle as it did")},
	{climbs, 4, (*comparison).checkClimb, says("at steady full throttle the speed climbs"), says("at steady full throttle the speed does not climb")},
	{sinks, 4, (*comparison).checkSink, says("at steady full throttle the speed sinks or surges"), says("at steady full throttle the speed neither sinks nor surges")},
	{uneven, 10, (*comparison).checkUneven, says("it runs unevenly: it hunts, surges, or its firing cannot be told"), says("it runs no less evenly than before")},
	{bogs, 6, (*comparison).checkBog, says("it bogs on opening the throttle"), says("it bogs no more than before on opening the throttle")},
	{risesSlower, 8, (*comparison).checkRise, says("it takes longer to reach its top speed"), says("it reaches its top speed as fast as before")},
	{fallsSooner, 6, (*comparison).checkFallsSooner, says("it falls back to idle sooner: something brakes it"), says("it falls back to idle no sooner")},
	{fallsLater, 6, (*comparison).checkFallsLater, says("it falls back to idle more slowly: it turns more freely"), says("it falls back to idle no more slowly")},
	{weakInCut, 12, (*comparison).checkWeakInCut, says("in the cut it pulls down further"), says("in the cut it holds its speed as before")},
	{richInCut, 6, (*comparison).checkRichInCut, says("it four-strokes in the cut as well"), says("it does not four-stroke in the cut")},
	{pinned, 2, (*comparison).checkPinned, says("the coil holds the top speed"), says("no coil was found to hold the top speed")},
	{governed, 2, (*comparison).checkGoverned, says("a governor holds the top speed"), says("no governor was found to hold the top speed")},
	{doubtful, 8, (*comparison).checkDoubtful, says("one of the two recordings is doubtful: see its own verdict"), says("both recordings were read without doubt")},

	{cold, 8, (*comparison).checkCold, says("it was not noted as warm in both passes"), says("it was warm in both passes")},
	{chokeOn, 3, (*comparison).checkChoke, says("the choke was not fully open"), says("the choke was fully open")},
	{filterClean, 80, (*comparison).checkFilterClean, says("the air filter was noted as clean"), says("the air filter was noted as not clean")},
	{filterDirty, 5, (*comparison).checkFilterDirty, saysNoted(filterDirty), says("no dirty air filter was noted")},
	{filterRenewed, 7, ofNote(filterRenewed), saysNoted(filterRenewed), says("no new or cleaned air filter was noted")},
	{fuelFilterWork, 1, ofNote(fuelFilterWork), saysNoted(fuelFilterWork), says("no new fuel filter was noted")},
	{fuelCleared, 1, ofNote(fuelCleared), saysNoted(fuelCleared), says("no work on the fuel system was noted")},
	{pumpWork, 1, ofNote(pumpWork), saysNoted(pumpWork), says("no new impulse line or pump diaphragm was noted")},
	{carburettorWork, 1, ofNote(carburettorWork), saysNoted(carburettorWork), says("no work on the carburettor was noted")},
	{sparkWork, 2, ofNote(sparkWork), saysNoted(sparkWork), says("no new plug or coil was noted")},
	{exhaustCleaned, 1, ofNote(exhaustCleaned), saysNoted(exhaustCleaned), says("no cleaned exhaust was noted")},
	{mufflerOpened, 1, ofNote(mufflerOpened), saysNoted(mufflerOpened), says("no opened muffler was noted")},
	{leakWork, 1, ofNote(leakWork), saysNoted(leakWork), says("no new seal, gasket or boot was noted")},
	{engineNew, 2, ofNote(engineNew), saysNoted(engineNew), says("no new engine or piston was noted")},
	{toolChanged, 8, ofNote(toolChanged), saysNoted(toolChanged), says("no change of the tool was noted")},
	{fuelOld, 4, ofNote(fuelOld), saysNoted(fuelOld), says("no old fuel was noted")},
	{fuelOther, 12, ofNote(fuelOther), saysNoted(fuelOther), says("no other fuel was noted")},
	{fuelEthanol, 1, ofNote(fuelEthanol), saysNoted(fuelEthanol), says("no ethanol was noted")},
	{fuelAlkylate, 1, ofNote(fuelAlkylate), saysNoted(fuelAlkylate), says("no alkylate fuel was noted")},
	{oilRatio, 1, ofNote(oilRatio), saysNoted(oilRatio), says("no other oil ratio was noted")},
	{tilts, 1, onlyNoted(tilts), saysNoted(tilts), nil},
	{capCures, 1, onlyNoted(capCures), saysNoted(capCures), nil},
}

const numSigns = len(signTable)

// signNumber gives the place of a sign in the table, -1 for none.
func signNumber(code signCode) int {
	for i := range signTable {
		if signTable[i].code == code {
			return i
		}
	}
	return -1
}

// ofNote looks for an event in the notes; that there is none says something as well.
func ofNote(e event) func(*comparison) presence {
	return func(c *comparison) presence { return c.checkNote(e) }
}

// onlyNoted looks for an event that nobody notes where it is not so.
func onlyNoted(e event) func(*comparison) presence {
	return func(c *comparison) presence {
		if _, found := c.noted(e); found {
			return c.asNoted(true)
		}
		return presence{}
	}
}

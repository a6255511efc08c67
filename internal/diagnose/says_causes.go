package diagnose

// adviceOf gives what a technician knows of a cause.
//
// Source: common practice.
func adviceOf(c Cause) causeAdvice {
	switch c {
	case CauseFilterLoaded:
		return causeAdvice{"the air filter loading up", "rich", "in",
			"Look at the air filter and its cover; clean or renew it before any screw. It turns lean at once after that: open H by 1/8 turn first."}
	case CauseFilterNew:
		return causeAdvice{"a new or cleaned air filter", "lean", "out",
			"Was the filter renewed or cleaned? Then H wants out: 1/8 turn, listen, record a pass."}
	case CauseStarved:
		return causeAdvice{"a starved fuel supply: line, filter, inlet screen, jet or tank vent", "lean", "out",
			"Change the fuel filter, look at line and tank vent, clean the inlet screen, and record again; after that it runs richer. Do not screw against it."}
	case CauseFreed:
		return causeAdvice{"a fuel supply that was cleaned", "rich", "in",
			"Was filter, line, screen or jet cleaned? Then the old setting is too rich: record a cut, and close H by 1/8 turn at most if it four-strokes there."}
	case CauseFuel:
		return causeAdvice{"stale fuel, other oil or another oil ratio", "either", "to the best point, but fresh fuel is better",
			"Empty the tank, fill it with fresh fuel of the right ratio, and record again before any screw."}
	case CauseLeak:
		return causeAdvice{"a leak: barrel (base) gasket, crank seals or intake boot", "lean", "out, which helps for a while only",
			"Stop adjusting. Test crankcase and boot for leaks by pressure and vacuum, and repair; with a leak no setting holds."}
	case CauseSpark:
		return causeAdvice{"a coil that limits the speed", "not told by the top speed", "not by the top speed",
			"Judge it in the cut: record 3 s without load and then 5 s in wood."}
	case CauseMeasured:
		return causeAdvice{"the reading or the record: another tool, a cold engine, a screw or a day that was not noted", "either", "not before it is recorded again",
			"Record once more, warm, with the same bar and chain, and note screws, air, filter and fuel."}
	default:
		return causeAdvice{"nothing but the air and the screws as noted", "with the air: cold, low and dry lean; hot, high and humid rich", "with the air: out when lean, in when rich",
			"Nothing else needs looking for: follow the verdict of the pass itself."}
	}
}

package diagnose

import "topnote/internal/engine"

// planOf gives what a cause does to a simulated machine, how it comes, and what people
// write of it. Magnitudes: common practice, wide.
func (m *machine) planOf(c Cause) (p plan, possible bool) {
	b, course := m.between, m.course
	leak := func() effect {
		return effect{lean: b(5, 12), leanIdle: b(10, 30), idleAir: b(0.06, 0.3), rough: 0.2}
	}
	starved := effect{lean: b(5, 13), leanIdle: b(0, 4), runsDry: b(0.2, 0.7), rough: 0.2}
	filter := effect{lean: -b(5, 11), leanIdle: -b(0, 6), power: b(0.01, 0.05)}
	if m.build.FilterCompensated == engine.Yes {
		filter = effect{lean: -b(0, 1.5), power: b(0.05, 0.14)}
	}
	exhaust := effect{lean: -b(0, 2), residual: b(0.05, 0.16), power: b(0.03, 0.1)}
	spark := effect{misfire: b(0.04, 0.15), rough: b(0.4, 0.9)}
	switch c {
	case CauseNone:
		return plan{course: grows}, true
	case CauseFilterLoaded:
		return plan{effect: filter, course: course(0.15), notes: []string{"dusty", "dirty", "clogged with dust", "needs cleaning"}, filter: true, noted: 0.4}, true
	case CauseExhaust:
		return plan{effect: exhaust, course: course(0.15)}, true
	case CauseChoke:
		return plan{effect: effect{lean: -b(12, 25), leanIdle: -b(10, 30), power: b(0, 0.05), rough: 0.4}, course: comes, notes: []string{"choke half on", "choke was partly on"}, noted: 0.4}, true
	case CauseFlap:
		return plan{effect: effect{lean: -b(3, 8)}, course: comes}, true
	case CauseFilterNew:
		return plan{effect: filter, course: goes, notes: []string{"new", "cleaned", "washed it", "renewed", "new, the old one was black", "blown out"}, filter: true, noted: 0.7}, true
	case CauseExhaustCleared:
		return plan{effect: exhaust, course: goes, notes: []string{"muffler screen cleaned", "arrester screen renewed", "exhaust port decarbonised"}, noted: 0.7}, true
	case CauseMuffler:
		return plan{effect: effect{lean: b(4, 10), power: -b(0, 0.05)}, course: comes, notes: []string{"muffler opened", "arrester screen removed", "muffler modified"}, noted: 0.5}, true
	case CauseSparkRenewed:
		return plan{effect: spark, course: goes, notes: []string{"new spark plug", "plug replaced", "new coil"}, noted: 0.8}, true
	}
	if p, possible := m.leanFault(c, starved, leak()); possible {
		return p, true
	}
	return m.workOf(c, starved, spark, leak())
}

// leanFault gives the plans of starved supplies and of leaks.
func (m *machine) leanFault(c Cause, starved, leak effect) (p plan, possible bool) {
	b, course := m.between, m.course
	switch c {
	case CauseStarved:
		return plan{effect: starved, course: course(0.3)}, true
	case CauseVent:
		starved.runsDry = b(0.6, 1)
		return plan{effect: starved, course: course(0.6), notes: []string{"cured by loosening the tank cap"}, noted: 0.3}, true
	case CausePump:
		starved.runsDry = b(0.6, 1)
		return plan{effect: starved, course: course(0.4)}, true
	case CauseStiff:
		return plan{effect: effect{lean: b(5, 12), leanIdle: b(2, 10), rough: 0.2}, course: course(0.25)}, true
	case CauseStarvedPast:
		return plan{effect: effect{lean: b(18, 45), leanIdle: b(0, 5), runsDry: b(0.2, 0.8), rough: 0.3}, course: course(0.5)}, true
	case CauseLeakPast:
		e := leak
		e.lean = b(18, 45)
		return plan{effect: e, course: course(0.4)}, true
	case CauseSeal:
		return plan{effect: leak, course: course(0.2)}, true
	case CauseGasket:
		return plan{effect: leak, course: course(0.4)}, true
	case CauseBoot:
		return plan{effect: leak, course: course(0.5), notes: []string{"speed changes when tilted", "changes when rocked"}, noted: 0.4}, true
	case CauseThrottleShaft:
		return plan{effect: effect{lean: b(0, 2), leanIdle: b(6, 20), idleAir: b(0.06, 0.2), rough: b(0.4, 0.8)}, course: course(0.1)}, true
	case CauseDecompression:
		return plan{effect: effect{power: b(0.06, 0.2)}, course: course(0.5)}, true
	}
	return plan{}, false
}

// course draws whether a cause comes at once, or grows.
func (m *machine) course(sudden float64) int {
	if m.chance(sudden) {
		return comes
	}
	return grows
}

// workOf gives the plans of fuel, of work done, of power and of load.
func (m *machine) workOf(c Cause, starved, spark, leak effect) (p plan, possible bool) {
	b := m.between
	course := grows
	if m.chance(0.4) {
		course = comes
	}
	switch c {
	case CauseStale:
		return plan{effect: effect{lean: m.either() * b(3, 9), leanIdle: -b(0, 12), power: b(0, 0.04), rough: b(0.3, 0.8)}, course: comes, notes: []string{"last year's can", "old fuel", "stale mix"}, noted: 0.45, stands: 0.6}, true
	case CauseEthanol:
		return plan{effect: effect{lean: b(2.5, 5)}, course: comes, notes: []string{"E10", "petrol with ethanol"}, noted: 0.6}, true
	case CauseAlkylate:
		return plan{effect: effect{lean: m.either() * b(2.5, 6)}, course: comes, notes: []string{"alkylate", "switched to alkylate fuel"}, noted: 0.75}, true
	case CauseOil:
		return plan{effect: effect{lean: b(1.5, 4), rough: 0.3}, course: comes, notes: []string{"more oil", "other oil ratio"}, noted: 0.65}, true
	case CauseCleared:
		return plan{effect: starved, course: goes, notes: []string{"inlet screen cleaned", "new fuel line", "tank vent cleared", "fuel line and screen renewed"}, noted: 0.75}, true
	case CauseFuelFilter:
		return plan{effect: effect{lean: b(3, 8), runsDry: 0.3}, course: goes, notes: []string{"fuel filter new", "new filter", "tank filter changed"}, noted: 0.75}, true
	case CauseCarburettor:
		return plan{effect: effect{lean: m.either() * b(4, 14), leanIdle: m.either() * b(4, 15)}, course: comes, notes: []string{"carburettor cleaned and rebuilt", "new diaphragms", "carb rebuilt with a new kit"}, noted: 0.8}, true
	case CausePumpRepaired:
		return plan{effect: starved, course: goes, notes: []string{"impulse hose replaced", "pump diaphragm renewed"}, noted: 0.75}, true
	case CauseLeakRepaired:
		return plan{effect: leak, course: goes, notes: []string{"crank seals replaced", "new base gasket", "intake boot renewed"}, noted: 0.8}, true
	case CauseNeedle:
		return plan{effect: effect{lean: -b(5, 14), leanIdle: -b(12, 25), rough: 0.3}, course: course}, true
	case CauseSpark:
		return plan{effect: spark, course: course}, true
	case CauseCompression:
		return plan{effect: effect{power: b(0.07, 0.22), leanIdle: -b(0, 8)}, course: grows}, true
	case CauseReed:
		return plan{effect: effect{power: b(0.06, 0.18), leanIdle: -b(0, 10), rough: 0.3}, course: course}, true
	case CauseDrag:
		return plan{effect: effect{drag: b(0.15, 0.6)}, course: course, notes: []string{"new chain", "other blade", "new line, longer", "another head"}, noted: 0.3}, true
	case CauseLessDrag:
		return plan{effect: effect{drag: -b(0.12, 0.35)}, course: comes, notes: []string{"chain sharpened", "line shorter", "other bar", "blade changed"}, noted: 0.5}, true
	case CauseRunningIn:
		return plan{effect: effect{drag: b(0.15, 0.45)}, course: fades, notes: []string{"new piston, running in", "brand new, second tank", "still running in"}, noted: 0.7}, true
	case CauseCoil:
		return plan{course: comes}, true
	case CauseMeasured:
		return plan{effect: effect{drag: b(0.05, 0.2), lean: -b(0, 5)}, course: comes}, true
	}
	return plan{}, false
}

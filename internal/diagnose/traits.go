package diagnose

import (
	"topnote/internal/engine"
	"topnote/internal/report"
)

// traits are what has to be known of a machine to reason about it; what is not known
// is "" and false.
type traits struct {
	kind        engine.Kind
	carburettor engine.Carburettor
	governor    engine.Answer
	coil        engine.Answer
	compensated engine.Answer // the filter
	stratified  bool
	fourStroke  bool
}

// traitsOf gives those of the machine of a report.
func traitsOf(e report.Engine) traits {
	return traits{
		kind: e.Kind, carburettor: e.Carburettor, governor: e.Governor, coil: e.CoilLimit, compensated: e.FilterCompensated,
		stratified: e.Charge == engine.Stratified, fourStroke: e.Strokes == fourStrokes,
	}
}

// hasScrews reports whether there is an H screw to turn, as far as is known.
func (t traits) hasScrews() bool {
	return t.carburettor != engine.FixedJets && t.carburettor != engine.SelfSetting
}

// speedTells reports whether the top speed without load follows the mixture: not
// where a governor or the carburettor itself sees to the speed. Augers and pumps are
// governed unless it is said that they are not, and so are four-stroke engines of no
// known kind.
//
// Source: common practice.
func (t traits) speedTells() bool {
	switch {
	case t.governor == engine.Yes, t.carburettor == engine.SelfSetting:
		return false
	case t.governor == engine.No:
		return true
	}
	return t.kind != engine.Auger && t.kind != engine.Pump && !(t.fourStroke && t.kind == engine.KindUnknown)
}

// firingTells reports whether four-stroking without load follows the mixture: of a
// two-stroke that nothing loads. A stratified charge has too narrow a burble, and
// the fan of a blower is a load.
//
// Source: common practice.
func (t traits) firingTells() bool {
	return !t.fourStroke && !t.stratified && t.kind != engine.Blower && t.kind != engine.Auger && t.kind != engine.Pump
}

// loadWords name what the engine turns, and how to check it, by the kind of machine.
type loadWords struct{ more, less, check string }

// load gives the words for a load that has become more or less.
//
// Source: common practice.
func (t traits) load() loadWords {
	switch t.kind {
	case engine.Saw:
		return loadWords{"more drag: a dull or tight chain, dry bar, sprocket or clutch", "less drag: a sharper or looser chain, or another bar",
			"Look at the chain: sharp, its tension, its oil; turn it by hand with the brake off."}
	case engine.CutOffSaw:
		return loadWords{"more drag: belt, bearing or another wheel", "less drag: another wheel, or a loose belt",
			"Look at belt, bearing and wheel; turn the wheel by hand with the engine off."}
	case engine.Trimmer:
		return loadWords{"more load: longer or thicker line, another head, or the gearhead", "less load: line shorter than the knife of the guard cuts it",
			"Feed the line to the length of the guard's knife and record again: the line is the load."}
	case engine.BrushCutter:
		return loadWords{"more load: another blade, grass around it, or the gearhead", "less load: another blade",
			"Look at blade and gearhead, grease the gearhead, and record again with the blade that it was set with."}
	case engine.HedgeTrimmer:
		return loadWords{"more drag: a cold or dry gearbox, resin or dull knives", "less drag: a warm gearbox or freed knives",
			"Warm it up for 3 to 5 minutes, oil the knives, and record again."}
	case engine.Blower:
		return loadWords{"more air through the fan: tube or nozzle off", "less air through the fan: its intake, tube or nozzle blocked, which makes it faster",
			"Fit tube and nozzle, clear the fan's intake, and record again: the fan is the load."}
	case engine.Auger, engine.Pump:
		return loadWords{"more load: bit, impeller, gear or bearing", "less load: it pumps or turns less",
			"Record again under the same load; never run a pump dry."}
	}
	return loadWords{"more drag of the tool, its gear or the clutch", "less drag of the tool", "Turn the tool by hand with the engine off, and record again with the one that it was set with."}
}

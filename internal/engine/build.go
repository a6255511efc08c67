package engine

import (
	"errors"
	"math"
)

// Kind is the kind of a machine: what it drives.
type Kind string

// The kinds. KindUnknown is that of a machine of which nothing was said.
const (
	KindUnknown  Kind = ""
	Saw          Kind = "saw"
	CutOffSaw    Kind = "cut-off-saw"
	Trimmer      Kind = "trimmer" // with a line
	BrushCutter  Kind = "brush-cutter"
	HedgeTrimmer Kind = "hedge-trimmer"
	Blower       Kind = "blower"
	Auger        Kind = "auger"
	Pump         Kind = "pump"
	OtherKind    Kind = "other"
)

// Carburettor is how the mixture is set.
type Carburettor string

// The carburettors.
const (
	Screws      Carburettor = "screws"       // free to turn
	Capped      Carburettor = "capped"       // screws with caps or stops that leave a legal range
	FixedJets   Carburettor = "fixed"        // nothing to turn
	SelfSetting Carburettor = "self-setting" // sets itself while it cuts
)

// Charge is how the cylinder is scavenged.
type Charge string

// The kinds of charge.
const (
	PlainCharge Charge = "plain"
	Stratified  Charge = "stratified" // air scavenges ahead of the mixture
)

// LimitOf is the shaft whose speed the entered limit is.
type LimitOf string

// The shafts. Where it is not known, the limit is taken as that of the engine.
const (
	OfEngine  LimitOf = "engine"
	OfSpindle LimitOf = "spindle" // of the tool; the gear ratio is needed
)

// LimitIs is what the entered limit means.
type LimitIs string

// The meanings. Where it is not known, the limit is taken as a maximum.
const (
	Maximum LimitIs = "maximum"
	SetTo   LimitIs = "set-to" // a figure to set the top speed to, with a tolerance
)

// Build is what is known of a machine beside its engine and its speeds. The zero
// value knows nothing: every field is "" or 0 where it was not said, which is an
// answer of its own. Nothing in it is built in about any make.
type Build struct {
	Kind              Kind        `json:"kind,omitempty"`
	Carburettor       Carburettor `json:"carburettor,omitempty"`
	Governor          Answer      `json:"governor,omitempty"`           // a governor holds the top speed
	CoilLimit         Answer      `json:"coil_limit,omitempty"`         // the ignition holds the top speed
	Charge            Charge      `json:"charge,omitempty"`             //
	Catalyst          Answer      `json:"catalyst,omitempty"`           // in the muffler
	FilterCompensated Answer      `json:"filter_compensated,omitempty"` // the carburettor is vented to the clean side of the air filter
	GearRatio         float64     `json:"gear_ratio,omitempty"`         // turns of the engine for one of the spindle
	LimitOf           LimitOf     `json:"limit_of,omitempty"`
	LimitIs           LimitIs     `json:"limit_is,omitempty"`
	Tolerance         RPM         `json:"tolerance_rpm,omitempty"` // of a set-to figure, either way, as a speed of the engine
}

// ratio gives what the entered limit is multiplied by to be a speed of the engine.
func (b Build) ratio() RPM {
	if b.LimitOf == OfSpindle && b.GearRatio > 0 {
		return RPM(b.GearRatio)
	}
	return 1
}

// The gear ratios that can be entered, turns of the engine for one of the spindle:
// from drives that gear up a little to those of augers (common practice: brush
// cutters about 1.3 to 1.5, cut-off saws about 2, augers 30 to 50).
const (
	MinGearRatio = 0.2
	MaxGearRatio = 200
)

// Errors of Build.Check.
var (
	// ErrChoice says that a field has a value that it cannot have.
	ErrChoice = errors.New("engine: no such choice")
	// ErrGearRatio says that a gear ratio is out of range.
	ErrGearRatio = errors.New("engine: a gear ratio is a number from 0.2 to 200")
	// ErrNoGearRatio says that the limit is that of the spindle, and how it turns is
	// not known.
	ErrNoGearRatio = errors.New("engine: a limit of the spindle needs a gear ratio")
	// ErrTolerance says that a tolerance cannot be, or has no set-to figure.
	ErrTolerance = errors.New("engine: a tolerance is a speed of 0 or more, of a set-to figure")
)

// Check returns one of the errors above unless the build is one that can be.
func (b Build) Check() error {
	switch {
	case !choicesAllowed(Machine{Build: b}):
		return ErrChoice
	case b.GearRatio != 0 && !(b.GearRatio >= MinGearRatio && b.GearRatio <= MaxGearRatio):
		return ErrGearRatio
	case b.LimitOf == OfSpindle && b.GearRatio == 0:
		return ErrNoGearRatio
	case !(b.Tolerance >= 0) || math.IsInf(float64(b.Tolerance), 0), b.Tolerance > 0 && b.LimitIs != SetTo:
		return ErrTolerance
	}
	return nil
}

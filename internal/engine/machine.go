package engine

// Limits are the speeds that the user entered, as speeds of the engine's shaft; 0
// where not entered. None of them has a default.
type Limits struct {
	Max, Idle, Clutch RPM
}

// Machine is what the user knows of a machine before it is heard.
type Machine struct {
	Spec   Spec
	Limits Limits
	Build  Build
	State  State
}

// Answer is what is known of a question: Yes, No, or "" where it is not known.
type Answer string

// The answers that can be given.
const (
	Yes Answer = "yes"
	No  Answer = "no"
)

// State is how the machine was when it was recorded. The zero value knows nothing;
// it holds for one pass only and is asked for with each.
type State struct {
	Warm        Answer `json:"warm,omitempty"`         // run with some load for a few minutes before
	ChokeOpen   Answer `json:"choke_open,omitempty"`   // fully
	FilterClean Answer `json:"filter_clean,omitempty"` // the air filter
}

// Ceiling gives the speed above which the machine is too fast: the limit, or the
// upper edge of a set-to figure; 0 where no limit was entered.
func (m Machine) Ceiling() RPM {
	if m.Limits.Max.Told() && m.Build.LimitIs == SetTo {
		return m.Limits.Max + m.Build.Tolerance
	}
	return m.Limits.Max
}

// Floor gives the lower edge of a set-to figure; 0 for a plain maximum, for one
// without a tolerance, and where no limit was entered.
func (m Machine) Floor() RPM {
	if m.Limits.Max.Told() && m.Build.LimitIs == SetTo && m.Build.Tolerance > 0 {
		return m.Limits.Max - m.Build.Tolerance
	}
	return 0
}

// Entered gives the machine with its limit and tolerance as they stand in the
// handbook or on the plate: speeds of the spindle where the limit is one, else
// unchanged. FromEntered is its inverse; every other function takes speeds of the
// engine.
func (m Machine) Entered() Machine {
	m.Limits.Max /= m.Build.ratio()
	m.Build.Tolerance /= m.Build.ratio()
	return m
}

// FromEntered gives the machine with speeds of the engine from one whose limit and
// tolerance are as they stand in the handbook or on the plate.
func (m Machine) FromEntered() Machine {
	m.Limits.Max *= m.Build.ratio()
	m.Build.Tolerance *= m.Build.ratio()
	return m
}

package engine

// Limits are the speeds that the user entered; 0 where not entered. None of them has
// a default.
type Limits struct {
	Max, Idle, Clutch RPM
}

// Machine is what the user knows of a machine before it is measured.
type Machine struct {
	Spec   Spec
	Limits Limits
}

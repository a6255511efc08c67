package engine

// Limits are the speeds that the user entered; 0 where not entered. There is
// no built-in value for any of them.
type Limits struct {
	Max, Idle, Clutch RPM
}

// Machine is what is known of a machine before it is heard.
type Machine struct {
	Spec   Spec
	Limits Limits
}

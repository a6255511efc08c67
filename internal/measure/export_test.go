package measure

// What the tests of sensitivity need to judge with other numbers than the program.

type (
	Options  = options
	Followed = followed
)

var (
	Defaults = defaults
	Follow   = follow
	Assess   = followed.assess
	Judge    = followed.judge
)

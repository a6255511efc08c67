package verdict

import (
	"fmt"

	"topnote/internal/quality"
)

// The sentences about what is missing from a pass. docs/recording.md has a table
// of the same codes; a test holds it to this file.

func saysTooShort(c *completeness) quality.Problem {
	says := fmt.Sprintf("The engine is heard for %.1f s only, too short for a pass.", c.Evidence.ToldFor)
	if !c.ran() {
		says = fmt.Sprintf("The recording is %.1f s long, too short for a pass.", c.recorded)
	}
	return quality.Problem{Says: says, Do: "Record one whole pass: 3 s of idle, 3 s of full throttle without load, 3 s of idle."}
}

func saysShortPlateau(c *completeness) quality.Problem {
	says := "No full throttle without load is heard."
	if t := c.plateau(); t > 0 {
		says = fmt.Sprintf("Full throttle without load is heard for %.1f s only, too short to be sure of the firing.", t)
	}
	return quality.Problem{Says: says, Do: "Hold full throttle without load for 3 s, then let go at once."}
}

func saysNoIdle(*completeness) quality.Problem {
	return quality.Problem{
		Says: "No idle is heard from which the speed could be followed upwards, so half or double of it is less surely ruled out.",
		Do:   "Start recording 3 s before you open the throttle, with the engine idling.",
	}
}

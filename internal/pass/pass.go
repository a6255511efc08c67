package pass

import "topnote/internal/unit"

// Kind names a phase of a pass. The values are part of the report's schema.
type Kind string

// The phases of a pass, in the order in which they come.
const (
	NoEngine     Kind = "no-engine"
	Starting     Kind = "starting"
	Idle         Kind = "idle"
	Rise         Kind = "rise"
	FullThrottle Kind = "full-throttle"
	InCut        Kind = "in-the-cut"
	Fall         Kind = "fall"
	ReturnToIdle Kind = "return-to-idle"
	Stopping     Kind = "stopping"
)

// Phase is one stretch of a pass.
type Phase struct {
	Kind             Kind
	From, To         unit.Seconds
	Median, Min, Max unit.RPM // 0 where no speed was told
	FourStroking     float64  // 0 to 1: share of the points with a firing period that four-stroke
}

// Figure is a measured speed with its uncertainty.
type Figure struct {
	Speed, SD unit.RPM
}

// TopEnd is what was measured at full throttle without load.
type TopEnd struct {
	Sustained    Figure       // highest speed held for HeldFor
	Peak         unit.RPM     // highest single reading
	From, To     unit.Seconds // of the plateau
	FourStroking float64      // 0 to 1: share of the plateau that four-strokes
	Clean        float64      // 0 to 1: share of the plateau that fires every time
	Other        unit.RPM     // a second reading that keeps a real share of belief; 0: none
}

// Summary is a pass, cut into phases and measured. A nil part was not heard.
type Summary struct {
	Phases []Phase
	TopEnd *TopEnd
}

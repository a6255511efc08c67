package synth

import "topnote/internal/engine"

// Tuning gives a saw whose throttle is opened once for each top, four-stroking there,
// with 3 s of idle between: what is heard while somebody turns its screw.
func Tuning(tops ...engine.RPM) Scene {
	const idle = 2800
	pieces := []Piece{{Name: Idle, For: 2, To: idle}}
	for _, top := range tops {
		pieces = append(pieces,
			Piece{Name: Rise, For: 0.5, To: top, Throttle: 1},
			Piece{Name: FullThrottle, For: 2.5, To: top, Throttle: 1},
			Piece{Name: Fall, For: 1.2, To: idle},
			Piece{Name: ReturnToIdle, For: 3, To: idle})
	}
	profile := Pieces(idle, pieces...)
	s := NewScene(11, profile, ByPhase(profile, map[string]Firing{"": Clean(), FullThrottle: Every(2, 0.5)}))
	s.Rate, s.Wander = 22050, FieldWander().Times(0.3)
	return s
}

package quality

import (
	"testing"

	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/race"
)

// TestVoiceHidesFiring: a clean pass under a voice is not said to four-stroke,
// which would be to call a lean engine safe. The speed is the true one: read from the
// sound, little of it is left.
func TestVoiceHidesFiring(t *testing.T) {
	const fullThrottle = 11000 // rpm: scenes hold 11,700 and more
	const most = 0.5           // of the readings: what is called four-stroking
	passes := race.Fewer(3, 1)
	q := engine.Machine{Spec: engine.TwoStrokeSingle}
	for _, d := range speaking(t) {
		each(passes, func(n uint64) {
			seed := 2*n - 1 // of clean passes
			m := d.do(seed, render(scene(seed)))
			s := m.recorded(t)
			track, _, err := firing.Classify(t.Context(), s.Samples, s.Rate, m.track, q.Spec)
			if err != nil {
				t.Error(err)
				return
			}
			h := must(assess(s, track, q.Spec))
			fast, four := 0.0, 0.0
			for i, p := range h.Discount(track).Points {
				if i >= len(m.track.Points) || m.track.Points[i].Speed < fullThrottle || p.Speed < fullThrottle {
					continue
				}
				fast++
				if p.Fires.FourStroking() {
					four++
				}
			}
			if fast == 0 {
				t.Errorf("%s, pass %d: no full throttle", d.name, seed)
			} else if four/fast > most {
				t.Errorf("%s, pass %d: four-strokes %.0f %% of the time", d.name, seed, 100*four/fast)
			}
		})
	}
}

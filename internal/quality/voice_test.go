package quality

import (
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/shaft"
)

// TestVoiceHidesFiring: a clean pass under a voice is not said to four-stroke,
// which would be to call a lean engine safe.
func TestVoiceHidesFiring(t *testing.T) {
	const passes, most = 3, 0.4 // of the readings: less than half, and more than these passes have without a voice
	q := engine.Machine{Spec: engine.TwoStrokeSingle}
	for _, d := range speaking(t) {
		each(passes, func(n uint64) {
			seed := 2*n - 1 // of clean passes
			m := d.do(seed, render(scene(seed)))
			s := m.recorded(t)
			track, err := shaft.Follow(s.Samples, s.Rate, q)
			if err != nil {
				t.Error(err)
				return
			}
			h := must(Listen(s, track, q.Spec, Default()))
			top := pass.Summarise(h.Discount(track), q, pass.Default()).TopEnd
			if top == nil {
				t.Errorf("%s, pass %d: no full throttle", d.name, seed)
				return
			}
			if four := 1 - top.Clean - top.Firing[0]; four > most {
				t.Errorf("%s, pass %d: four-strokes %.0f %% of the time", d.name, seed, 100*four)
			}
		})
	}
}

package quality

import (
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/shaft"
	"topnote/internal/synth"
)

// BenchmarkAssess and BenchmarkFollow are to be read together: hearing what is
// in the way of a pass of 11 s is to cost less than a twentieth of following it.
func BenchmarkAssess(b *testing.B) {
	sound, track := benchPass(b)
	b.ReportAllocs()
	for b.Loop() {
		must(assess(sound, track, engine.TwoStrokeSingle))
	}
}

func BenchmarkFollow(b *testing.B) {
	sound, _ := benchPass(b)
	for b.Loop() {
		if _, err := shaft.Follow(b.Context(), sound.Samples, sound.Rate, engine.Machine{Spec: engine.TwoStrokeSingle}); err != nil {
			b.Fatal(err)
		}
	}
}

func benchPass(b *testing.B) (*clip.Sound, shaft.Track) {
	b.Helper()
	s := synth.Samples()[0].Scene
	s.Rate = rate
	m := render(s)
	return m.recorded(b), m.track
}

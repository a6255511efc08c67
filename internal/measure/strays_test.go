package measure_test

import (
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// TestFurtherAway: a second opening over the limit is told though it is softer than the
// first, as from further away; and where the clip is cut, so that the speed leaps, it is
// at least not called safe.
func TestFurtherAway(t *testing.T) {
	if race.Enabled {
		t.Skip("measures clips one after the other; nothing in it runs side by side")
	}
	sound := func(name string) (audio.Memory, engine.Hz) {
		all := synth.Samples()
		s := all[slices.IndexFunc(all, func(s synth.Sample) bool { return s.Name == name })].Scene
		return audio.Memory(s.Render().Samples), s.Rate
	}
	rich, rate := sound("rich")
	over, _ := sound("over")
	cut := over[int(3*rate):int(7*rate)]
	told := func(parts ...audio.Memory) string {
		file := filepath.Join(t.TempDir(), "joined.wav")
		if err := clip.WriteWAVFile(file, slices.Concat(parts...), rate); err != nil {
			t.Fatal(err)
		}
		m, err := measure.File(file, engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}})
		if err != nil {
			t.Fatal(err)
		}
		defer m.Close()
		return m.Report.Verdict.Code
	}
	for _, gain := range []float32{0.4, 0.15} {
		soft := func(x audio.Memory) audio.Memory {
			x = slices.Clone(x)
			for i := range x {
				x[i] *= gain
			}
			return x
		}
		for _, c := range []struct {
			name  string
			parts []audio.Memory
			want  string
		}{
			{"from idle to idle", []audio.Memory{rich, soft(over)}, "over-limit"},
			{"cut out of full throttle", []audio.Memory{rich, soft(cut)}, "not-enough"},
			{"cut out of full throttle, before", []audio.Memory{soft(cut), rich}, "not-enough"},
		} {
			if code := told(c.parts...); code != c.want {
				t.Errorf("%s, %.2f as loud: %s, want %s", c.name, gain, code, c.want)
			}
		}
	}
	if code := told(rich, rich); code != "four-stroking" {
		t.Errorf("two rich openings: %s", code)
	}
}

package live_test

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/needle"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// TestRaw: what the small program of a phone hears, in pieces of any size, is to the last
// bit what Listen hears in the same sound as a file, and the rows of its openings are the
// same.
func TestRaw(t *testing.T) {
	if race.Enabled {
		t.Skip("listens to five clips twice; TestStop has the goroutines")
	}
	rng := rand.New(rand.NewPCG(18, 2))
	for _, rate := range []int{8000, 11025, 22050, 44100, 48000} {
		scene := synth.Tuning(14100)
		scene.Rate = engine.Hz(rate)
		wav := wavOf(t, scene)
		o := live.Default(saw(13500))
		o.Name = "live"
		want := listen(t, bytes.NewReader(wav), o)
		var got heard
		raw, err := needle.NewRaw(needle.Default(o.Machine, rate), needle.Handler{
			Reading: func(r needle.Reading) error { got.readings = append(got.readings, r); return nil },
			Opening: func(opening needle.Opening) error {
				row, err := live.Measure(opening, o)
				got.rows = append(got.rows, row)
				return err
			},
		})
		const head = 44 // bytes
		sound := samples16(wav[head:])
		for err == nil && len(sound) > 0 {
			n := min(len(sound), 1+rng.IntN(rate/2))
			err = raw.Push(sound[:n])
			sound = sound[n:]
		}
		if err == nil {
			err = raw.End()
		}
		if err != nil {
			t.Fatal(err)
		}
		if len(got.readings) < 100 || !slices.Equal(got.readings, want.readings) {
			t.Errorf("at %d samples a second %d readings are not the %d of a file", rate, len(got.readings), len(want.readings))
		}
		if len(got.rows) != 1 || len(want.rows) != 1 || got.rows[0].JSON(13500) != want.rows[0].JSON(13500) {
			t.Errorf("at %d samples a second the rows are %+v, of a file %+v", rate, got.rows, want.rows)
		}
	}
	if _, err := needle.NewRaw(needle.Default(saw(0), 3999), needle.Handler{}); err == nil {
		t.Error("3,999 samples a second are followed")
	}
}

// samples16 gives the samples of 16 bits in bytes.
func samples16(b []byte) []int16 {
	x := make([]int16, len(b)/2)
	for i := range x {
		x[i] = int16(uint16(b[2*i]) | uint16(b[2*i+1])<<8)
	}
	return x
}

package passtest

import (
	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/shaft"
	"topnote/internal/synth"
)

// TrackOf gives the track that a tracker without error would give of a run.
func TrackOf(r *synth.Run) shaft.Track {
	const sd = 0.003 // relative
	t := shaft.Track{Hop: Hop}
	for at := Hop; at < r.Length; at += Hop {
		v := r.SpeedAt(at)
		t.Points = append(t.Points, shaft.Point{At: at, Speed: v, SD: v * sd, Confidence: 1, Fires: shaft.Firing(r.FiresAt(at))})
	}
	return t
}

// CyclesOf gives the cycles of a run of a two-stroke single, each as strong as its
// firing truly was.
func CyclesOf(r *synth.Run) firing.Cycles {
	var all firing.Cycles
	for _, b := range r.Cycles {
		all = append(all, cycle(b.At, b.Strength))
	}
	return all
}

func cycle(at engine.Seconds, strength float64) firing.Cycle {
	c := firing.Cycle{At: at}
	for q := range c.RMS {
		c.RMS[q] = float32(strength)
	}
	return c
}

// Package passtest builds tracks by hand, for tests of what is read from them.
//
// A track is written down as it would be told: quiet for a second, idle at
// 2,800 rpm for two, up to 13,000 in 0.4 s, held for three while firing every
// second turn, and so on. The speed and the firing at each instant are then
// known exactly, and the noise laid over them is seeded, so a test that fails
// once fails always. Only tests import this package; it makes no sound (see
// synth for that). Start with New.
package passtest

import (
	"math"
	"math/rand/v2"

	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/shaft"
)

// Hop is the time between the points of a built track.
const Hop engine.Seconds = 0.02

// Track is a track under construction. Each method that adds points returns
// the track, so that a pass reads as one chain.
type Track struct {
	points []shaft.Point
	random *rand.Rand
	noise  float64 // relative standard deviation of each reading
	sd     float64 // relative standard deviation that each reading claims
	memory float64 // 0 to 1: share of an error that the next reading keeps
	error  float64 // of the last reading, in its standard deviations
	fires  []shaft.Firing
	added  int            // points added by the last method
	missed engine.Seconds // for which points are missing so far
}

// New begins a track whose readings scatter by 0.2 %, say so, and fire every
// time.
func New(seed uint64) *Track {
	return &Track{random: rand.New(rand.NewPCG(seed, 1)), noise: 0.002, sd: 0.002, fires: []shaft.Firing{1}}
}

// Noise sets the relative standard deviation of the readings that follow, and
// what they claim it to be.
func (t *Track) Noise(is, claims float64) *Track {
	t.noise, t.sd = is, claims
	return t
}

// Memory sets how much of its error a reading hands on to the next, 0 to 1, as
// overlapping frames do.
func (t *Track) Memory(share float64) *Track {
	t.memory = share
	return t
}

// Fires sets the firing of the points that follow, taken in turn.
func (t *Track) Fires(pattern ...shaft.Firing) *Track {
	t.fires = pattern
	return t
}

// Quiet adds points without a speed.
func (t *Track) Quiet(d engine.Seconds) *Track {
	return t.add(d, func(float64) float64 { return 0 })
}

// Hole leaves a time out of the track: there are no points in it at all.
func (t *Track) Hole(d engine.Seconds) *Track {
	t.missed += engine.Seconds(math.Round(float64(d/Hop))) * Hop
	t.added = 0
	return t
}

// Hold adds a speed that stands still.
func (t *Track) Hold(d engine.Seconds, speed engine.RPM) *Track { return t.Ramp(d, speed, speed) }

// Ramp adds a speed that changes evenly in its logarithm, as a shaft's does.
func (t *Track) Ramp(d engine.Seconds, from, to engine.RPM) *Track {
	return t.add(d, func(f float64) float64 {
		return float64(from) * math.Pow(float64(to/from), f)
	})
}

// Swing adds a speed that goes up and down around a mean, depth from low to
// high.
func (t *Track) Swing(d engine.Seconds, mean, depth engine.RPM, period engine.Seconds) *Track {
	return t.add(d, func(f float64) float64 {
		return float64(mean) + float64(depth)/2*math.Sin(2*math.Pi*f*float64(d/period))
	})
}

// Each changes the points that the last method added.
func (t *Track) Each(change func(i int, p *shaft.Point)) *Track {
	first := len(t.points) - t.added
	for i := range t.added {
		change(i, &t.points[first+i])
	}
	return t
}

// Other gives the points that the last method added a second reading.
func (t *Track) Other(ratio, share float64) *Track {
	return t.Each(func(_ int, p *shaft.Point) {
		p.Alternative, p.AlternativeShare = p.Speed*engine.RPM(ratio), share
		p.Confidence = 1 - share
	})
}

// Build gives the track.
func (t *Track) Build() shaft.Track {
	return shaft.Track{Hop: Hop, Points: append([]shaft.Point{}, t.points...)}
}

// Lost says how much of the strength of the nth cycle of a track is missing, 0 to
// 1; the cycle begins at a time.
type Lost func(n int, at engine.Seconds) float64

// Bursts lose a share of the strength of some cycles in a row, once in each period.
func Bursts(period, cycles int, share float64) Lost {
	return func(n int, _ engine.Seconds) float64 {
		if n%period < cycles {
			return share
		}
		return 0
	}
}

// Until loses nothing from a time on.
func (l Lost) Until(end engine.Seconds) Lost {
	return func(n int, at engine.Seconds) float64 {
		if at >= end {
			return 0
		}
		return l(n, at)
	}
}

// Cycles gives the cycles of a two-stroke that runs as the track says. Their
// strength scatters by so much, relative; lost may be nil.
func (t *Track) Cycles(scatter float64, lost Lost) firing.Cycles {
	var all firing.Cycles
	random := rand.New(rand.NewPCG(uint64(len(t.points)), 2))
	var angle float64 // revolutions
	for _, p := range t.points {
		step := float64(p.Speed.Hz()) * float64(Hop)
		for next := math.Floor(angle) + 1; next < angle+step; next++ {
			at := p.At + engine.Seconds((next-angle)/step)*Hop
			strength := 1 + scatter*random.NormFloat64()
			if lost != nil {
				strength *= 1 - lost(len(all), at)
			}
			all = append(all, cycle(at, max(0, strength)))
		}
		angle += step
	}
	return all
}

// add appends the points of a time; speed is told the share of it gone by.
func (t *Track) add(d engine.Seconds, speed func(share float64) float64) *Track {
	t.added = int(math.Round(float64(d / Hop)))
	for i := range t.added {
		at := engine.Seconds(len(t.points))*Hop + t.missed
		v := speed(float64(i) / float64(t.added))
		p := shaft.Point{At: at}
		if v > 0 {
			t.error = t.memory*t.error + math.Sqrt(1-t.memory*t.memory)*t.random.NormFloat64()
			p.Speed = engine.RPM(v * (1 + t.noise*t.error))
			p.SD = engine.RPM(v * t.sd)
			p.Confidence = 0.95
			p.Fires = t.fires[len(t.points)%len(t.fires)]
		}
		t.points = append(t.points, p)
	}
	return t
}

package shaft

import (
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/race"
)

// pulses is the sound of an engine whose speed goes through the given corners: a
// pulse at every turn that fires, and one of the intake half a turn later.
func pulses(corners [][2]float64, intake float64, seed uint64) audio.Memory {
	const rate, decay = 8000, 0.0012 // Hz, s
	r := rand.New(rand.NewPCG(seed, 1))
	x := make(audio.Memory, int(corners[len(corners)-1][0]*rate))
	turns, last, c := 0.0, -1.0, 0
	amplitude, since := 0.0, 1.0
	for i := range x {
		t := float64(i) / rate
		for c+2 < len(corners) && t >= corners[c+1][0] {
			c++
		}
		a, b := corners[c], corners[c+1]
		wander := 1 + 0.003*math.Sin(9*t) // without any it would be a tone
		turns += wander * (a[1] + (b[1]-a[1])*(t-a[0])/(b[0]-a[0])) / 60 / rate
		half := math.Floor(2 * turns)
		since += 1.0 / rate
		if half != last {
			last, since = half, 0
			amplitude = 0.5
			if int(half)%2 == 1 {
				amplitude = 0.5 * intake
			}
			amplitude *= 1 + 0.1*r.NormFloat64()
		}
		resonance := 900.0 // Hz, of the exhaust
		if int(half)%2 == 1 {
			resonance = 600 // of the intake
		}
		x[i] = float32(amplitude*math.Exp(-since/decay)*math.Sin(2*math.Pi*resonance*since) + 0.004*r.NormFloat64())
	}
	return x
}

// TestSlowMachines: a blower or a hedge trimmer is not read at double its speed,
// with intake pulses as loud as the exhaust's and without, whether or not its limit
// is known. The speeds are those of docs/sources.md (common practice).
func TestSlowMachines(t *testing.T) {
	t.Parallel()
	for _, intake := range []float64{0.7, 0, 1}[:race.Fewer(3, 1)] {
		for _, limit := range []engine.RPM{0, 9500} {
			x := pulses([][2]float64{{0, 2800}, {2, 2800}, {2.5, 9000}, {5.5, 9000}, {6.1, 2900}, {8, 2800}}, intake, 7)
			known := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: limit}}
			track, err := Follow(t.Context(), x, 8000, known)
			if err != nil {
				t.Fatal(err)
			}
			for _, at := range []float64{1, 3.5, 5, 7.5} {
				want := 2800.0
				if at > 2.6 && at < 5.5 {
					want = 9000
				}
				p := track.Points[int(math.Round(at/float64(track.Hop)))]
				if math.Abs(float64(p.Speed)/want-1) > 0.02 {
					t.Errorf("intake %.1f, limit %.0f: %.0f rpm at %.1f s, want %.0f", intake, float64(limit), float64(p.Speed), at, want)
				}
			}
		}
	}
}

// TestTypedLimitIsNoWall: a limit with a digit lost does not bend the speed.
func TestTypedLimitIsNoWall(t *testing.T) {
	t.Parallel()
	x := pulses([][2]float64{{0, 2800}, {2, 2800}, {2.4, 13000}, {5, 13000}, {5.6, 2800}, {7, 2800}}, 0.3, 3)
	for _, limit := range []engine.RPM{1350, 0, 13500}[:race.Fewer(3, 1)] {
		track, err := Follow(t.Context(), x, 8000, engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: limit}})
		if err != nil {
			t.Fatal(err)
		}
		if v := track.Points[int(4/track.Hop)].Speed; math.Abs(float64(v)/13000-1) > 0.02 {
			t.Errorf("limit %.0f: %.0f rpm, want 13000", float64(limit), float64(v))
		}
	}
}

// TestOctavePrior holds the prior to what it is for: the ratios are ln odds.
func TestOctavePrior(t *testing.T) {
	t.Parallel()
	p := defaultOctave().Prior
	saw := engine.Machine{Limits: engine.Limits{Max: 13500}}
	blower := engine.Machine{Limits: engine.Limits{Max: 7800, Idle: 2700}}
	odds := func(m engine.Machine, a, b reading) float64 { return p.log(a, m) - p.log(b, m) }
	for name, c := range map[string]struct {
		got, atLeast, atMost float64
	}{
		"a top anywhere in its range":            {odds(saw, reading{top: 12000}, reading{top: 14000}), 0, 0},
		"double the limit against under it":      {odds(blower, reading{top: 7500}, reading{top: 15000}), -math.Log(2 * p.WrongLimit), -2 * math.Log(p.WrongLimit)},
		"a wrong limit counts no more than that": {odds(engine.Machine{Limits: engine.Limits{Max: 1350}}, reading{top: 1500}, reading{top: 13500}), 0, -math.Log(p.WrongLimit / 2)},
		"the entered idle against its double":    {odds(blower, reading{top: 7500, idle: 2700}, reading{top: 7500, idle: 5400}), -math.Log(2 * p.OddIdle), -math.Log(p.OddIdle / 2)},
		"a leap":                                 {odds(saw, reading{top: 12000}, reading{top: 12000, leaps: true}), -math.Log(p.Leap), -math.Log(p.Leap)},
	} {
		if c.got < c.atLeast-1e-9 || c.got > c.atMost+1e-9 {
			t.Errorf("%s: ln odds %.2f, want %.2f to %.2f", name, c.got, c.atLeast, c.atMost)
		}
	}
}

// TestBounds: a search that is held to bounds finds nothing outside them.
func TestBounds(t *testing.T) {
	t.Parallel()
	x := pulses([][2]float64{{0, 9000}, {3, 9000}}, 0, 5)
	o := Default()
	j := job{sound: x, rate: 8000, known: engine.Machine{Spec: engine.TwoStrokeSingle}, options: o}
	first, err := j.follow(t.Context(), bounds{})
	if err != nil {
		t.Fatal(err)
	}
	const slack = 1.02 // a step of the grid, and what the lines move it by
	for name, b := range map[string]bounds{
		"from above": {high: 6000},
		"from below": {track: first.points, over: 5000, under: 20000, lowest: 1.4},
	} {
		r, err := j.follow(t.Context(), b)
		if err != nil {
			t.Fatal(err)
		}
		if r.evidence >= first.evidence {
			t.Errorf("%s: evidence %.1f within bounds, %.1f without", name, r.evidence, first.evidence)
		}
		for i, p := range r.points {
			v := p.Speed
			if !v.Told() {
				continue
			}
			if b.high.Told() && v > slack*b.high || b.track != nil && first.points[i].Speed > b.over && slack*v < engine.RPM(b.lowest)*first.points[i].Speed {
				t.Errorf("%s: %.0f rpm at point %d", name, float64(v), i)
				break
			}
		}
	}
}

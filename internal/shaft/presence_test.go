package shaft

import (
	"math"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// course gives a track along corners of time and speed, with the wander of a shaft; a
// speed of 0 is none.
func course(corners ...[2]float64) (ps []Point) {
	for c := 0; c+1 < len(corners); c++ {
		a, b := corners[c], corners[c+1]
		for at := a[0]; at < b[0]-0.01; at += 0.02 {
			v := (a[1] + (b[1]-a[1])*(at-a[0])/(b[0]-a[0])) * (1 + 0.004*math.Sin(7*at))
			ps = append(ps, Point{At: engine.Seconds(at), Speed: engine.RPM(v), SD: engine.RPM(0.002 * v), Fires: 1})
		}
	}
	return ps
}

// swings gives 4 s of a speed that swings by 1 % at a rate, Hz, from 10,000 up to 12,000
// and with an unevenness that has no beat.
func swings(rate float64) []Point {
	ps := course([2]float64{0, 10000}, [2]float64{4, 12000})
	for i := range ps {
		at := float64(ps[i].At)
		ps[i].Speed *= engine.RPM(1 + 0.01*math.Sin(2*math.Pi*rate*at) + 0.004*math.Sin(40*at*at))
	}
	return ps
}

// TestClearAbsent: a throttle that is opened, what lasts for longer than a breath, and
// what is told from beginning to end are an engine; what is followed for less of the
// clip, goes on through lulls at no idle's speed, is left of hum, swings as a voice does,
// or steps from note to note, is none. Readings that are not sure show no throttle.
func TestClearAbsent(t *testing.T) {
	none := func(long float64) []Point { return make([]Point, int(50*long)) }
	join := func(parts ...[]Point) (all []Point) {
		for _, p := range parts {
			all = append(all, p...)
		}
		return all
	}
	unsure := course([2]float64{0, 3000}, [2]float64{1, 3000}, [2]float64{1.4, 11000}, [2]float64{2.4, 11000})
	for i := range unsure {
		unsure[i].SD = 0.02 * unsure[i].Speed
	}
	opened := course([2]float64{0, 3000}, [2]float64{0.6, 3000}, [2]float64{1, 11000}, [2]float64{1.6, 11000})
	glide := course([2]float64{0, 7000}, [2]float64{1, 9500}, [2]float64{2, 6800}, [2]float64{2.6, 8000})
	cutting := course([2]float64{0, 7000}, [2]float64{1, 9500}, [2]float64{2, 6800}, [2]float64{3.4, 9000})
	tune := course([2]float64{0, 7000}, [2]float64{0.8, 7000}, [2]float64{0.9, 8800}, [2]float64{1.7, 8800})
	shut := course([2]float64{0, 10000}, [2]float64{1.5, 10000}, [2]float64{1.7, 6200}, [2]float64{1.9, 6200}, [2]float64{2.1, 10000}, [2]float64{3.6, 10000})
	wavers := course([2]float64{0, 10850}, [2]float64{2, 10750}, [2]float64{4, 10850})
	clips := []struct {
		name  string
		ps    []Point
		cuts  float64 // s of digital silence at the end
		there bool
		lull  float64 // s, when it is 20 dB softer for a tenth of a second; 0: never
		hum   []engine.Hz
	}{
		{"a throttle that is opened", join(none(3), opened, none(3)), 0, true, 0, nil},
		{"the same, unsurely", join(none(3), unsure, none(3)), 0, false, 0, nil},
		{"an idle", join(none(3), course([2]float64{0, 2800}, [2]float64{3.2, 3200}), none(3)), 0, true, 0, nil},
		{"a speed that is held", join(none(4), course([2]float64{0, 11000}, [2]float64{3.2, 11000}), none(4)), 0, true, 0, nil},
		{"a shorter one", join(none(4), course([2]float64{0, 11000}, [2]float64{2.6, 11000}), none(4)), 0, false, 0, nil},
		{"a call", join(none(2), glide, none(2)), 0, false, 0, nil},
		{"a load that wanders for longer", join(none(2), cutting, none(2)), 0, true, 0, nil},
		{"as long as the clip", join(glide), 0, true, 0, nil},
		{"as long as its sound", join(glide, none(2)), 2, true, 0, nil},
		{"notes as long as the clip", tune, 0, false, 0, nil},
		{"a load that wanders, with a lull", join(none(2), cutting, none(2)), 0, false, 3.5, nil},
		{"a throttle that is shut for a moment", join(none(2), shut, none(2)), 0, true, 3.8, nil},
		{"an idle with one", join(none(3), course([2]float64{0, 2800}, [2]float64{3.2, 3200}), none(3)), 0, true, 4.5, nil},
		{"as long as the clip, with one", join(glide), 0, false, 1.3, nil},
		{"long before a lull", join(none(1), course([2]float64{0, 11000}, [2]float64{8, 11000})), 0, true, 8, nil},
		{"left of hum of 60 Hz", join(wavers), 0, false, 0, []engine.Hz{50, 60}},
		{"a note that is sung", swings(5.6), 0, false, 0, nil},
		{"a load that comes and goes", swings(1.5), 0, true, 0, nil},
		{"teeth that catch", swings(12), 0, true, 0, nil},
		{"the same beside 50 Hz", wavers, 0, true, 0, []engine.Hz{50}},
	}
	for _, tt := range clips {
		o := Default()
		x := make([]float32, (len(tt.ps)-1)*160)
		for i := range len(x) - int(tt.cuts*8000) {
			x[i] = 0.1 * float32(1-2*(i%2)) // above what counts for the level
			if at := float64(i) / 8000; tt.lull > 0 && math.Abs(at-tt.lull) < 0.05 {
				x[i] /= 10
			}
		}
		j := &job{rate: 8000, options: o, level: levelsOf(x, o), sound: audio.Memory(x)}
		j.options.Hum, j.options.Presence.Even = tt.hum, 0 // the sound has no lines
		if err := j.clearAbsent(tt.ps); err != nil {
			t.Fatal(err)
		}
		told := 0
		for _, p := range tt.ps {
			if p.Speed.Told() {
				told++
			}
		}
		if there := told > 0; there != tt.there {
			t.Errorf("%s: told at %d points", tt.name, told)
		}
	}
}

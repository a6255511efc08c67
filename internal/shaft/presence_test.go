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

// TestClearAbsent: a throttle that is opened, what lasts for longer than a breath, and
// what is told from beginning to end are an engine; what is followed for less of the
// clip, or steps from note to note, is none. Readings that are not sure show no throttle.
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
	for _, tt := range []struct {
		name  string
		ps    []Point
		cuts  float64 // s of digital silence at the end
		there bool
	}{
		{"a throttle that is opened", join(none(3), opened, none(3)), 0, true},
		{"the same, unsurely", join(none(3), unsure, none(3)), 0, false},
		{"an idle", join(none(3), course([2]float64{0, 2800}, [2]float64{3.2, 3200}), none(3)), 0, true},
		{"a speed that is held", join(none(4), course([2]float64{0, 11000}, [2]float64{3.2, 11000}), none(4)), 0, true},
		{"a shorter one", join(none(4), course([2]float64{0, 11000}, [2]float64{2.6, 11000}), none(4)), 0, false},
		{"a call", join(none(2), glide, none(2)), 0, false},
		{"a load that wanders for longer", join(none(2), cutting, none(2)), 0, true},
		{"as long as the clip", glide, 0, true},
		{"as long as its sound", join(glide, none(2)), 2, true},
		{"notes as long as the clip", tune, 0, false},
	} {
		o := Default()
		j := &job{rate: 8000, options: o, sound: make(audio.Memory, (len(tt.ps)-1)*160)}
		for i := range j.sound.Len() - int(tt.cuts*8000) {
			j.sound.(audio.Memory)[i] = 0.1
		}
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

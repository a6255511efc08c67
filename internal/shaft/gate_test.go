package shaft

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

// TestIsMusic: notes are music; an engine that is opened, held and let go again
// and again is none, nor is one that was read on a wrong line once or twice.
// Source: the shaft of a saw takes 0.3 s and more from idle to the top (shared
// recordings), notes change at once.
func TestIsMusic(t *testing.T) {
	o := Default()
	notes := []float64{9000, 10100, 12000, 9540}
	blips := func(s float64) float64 { // open in 0.4 s, let go in 0.8 s
		switch u := math.Mod(s, 1.6); {
		case u < 0.4:
			return 3000 + 22500*u
		case u < 0.8:
			return 12000
		}
		return 3000 + 9000*(1.6-math.Mod(s, 1.6))/0.8
	}
	for name, tt := range map[string]struct {
		speed func(s float64) float64
		want  bool
	}{
		"a note every half second":      {func(s float64) float64 { return notes[int(2*s)%len(notes)] }, true},
		"two notes, then one held":      {func(s float64) float64 { return notes[min(2, int(2*s))] }, false},
		"one speed":                     {func(float64) float64 { return 12000 }, false},
		"opened and let go, many times": {blips, false},
	} {
		ps := points(int(6/o.Hop), func(i int) engine.RPM { return engine.RPM(tt.speed(float64(i) * float64(o.Hop))) })
		if got := o.isMusic(ps); got != tt.want {
			t.Errorf("%s: %v, want %v", name, got, tt.want)
		}
	}
}

// TestTrim: a plateau that ends in a sweep in noise ends where it is held; a sweep
// that is clear, and an end that is held, stay.
func TestTrim(t *testing.T) {
	o := Default()
	const held, moving = 40, 8
	up := func(i int) engine.RPM {
		return engine.RPM(12000 * math.Exp(2*float64(max(0, i-held+1))*float64(o.Hop)))
	}
	down := func(i int) engine.RPM { return up(held + moving - 1 - i) }
	still := func(int) engine.RPM { return 12000 }
	for name, tt := range map[string]struct {
		speed      func(i int) engine.RPM
		faintFrom  int // points that are not clear
		faintTo    int
		first, end int // points that keep their speed
	}{
		"runs out in noise":    {up, held, held + moving, 0, held},
		"comes out of noise":   {down, 0, moving, moving, held + moving},
		"a clear rise":         {up, 0, 0, 0, held + moving},
		"a faint end is held":  {still, held, held + moving, 0, held + moving},
		"faint where it moved": {up, held - 8, held, 0, held + moving},
	} {
		ps, clear := points(held+moving, tt.speed), make([]float64, held+moving)
		for i := range clear {
			clear[i] = 10
			if i >= tt.faintFrom && i < tt.faintTo {
				clear[i] = -1
			}
		}
		o.trim(ps, clear)
		const blur = 4 // points within which it may begin and end
		for i, p := range ps {
			inside := i >= tt.first+blur && i < tt.end-blur
			if outside := i < tt.first-blur || i >= tt.end+blur; p.Speed.Told() == outside && (inside || outside) {
				t.Errorf("%s: point %d has the speed %v", name, i, p.Speed)
			}
		}
	}
}

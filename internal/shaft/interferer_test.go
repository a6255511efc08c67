package shaft

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

// TestSeries: lines of one machine are distinguished from lines that have nothing in
// common, and extended to frequencies where they exceed the floor too seldom to be in
// the mask.
func TestSeries(t *testing.T) {
	o := Default().Interferer
	tests := []struct {
		name  string
		lines mask
		want  []engine.Hz // that are covered by the series; none: there is no series
	}{
		{"first three", mask{150, 300, 451}, []engine.Hz{150, 300, 451, 600, 750, 900}},
		{"the first is hidden", mask{297, 449, 600, 744}, []engine.Hz{148, 297, 449, 600, 750, 900}},
		{"the last corrects the next", mask{100, 202, 304, 406, 508}, []engine.Hz{609, 711, 812}},
		{"nothing in common", mask{61, 97, 353}, nil},
		{"slower than any machine's", mask{20, 40, 60}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := o.series(tt.lines, 1000)
			if (got == nil) != (tt.want == nil) {
				t.Fatalf("series %v, want one: %v", got, tt.want != nil)
			}
			for _, f := range tt.want {
				if !got.covers(f, o.Tolerance) {
					t.Errorf("%v Hz is not in %v", f, got)
				}
			}
		})
	}
}

// TestChooseByPart: of readings without steady lines, those are taken that
// take the place of readings of the lines, and no others.
func TestChooseByPart(t *testing.T) {
	lines := mask{150, 300, 450} // of 9,000 rpm
	track := func(speeds ...engine.RPM) (ps []Point) {
		for _, v := range speeds {
			for range 10 {
				ps = append(ps, Point{Speed: v})
			}
		}
		return ps
	}
	tests := []struct {
		name                string
		with, without, want []Point
	}{
		{"idle was read on them", track(9000, 13000, 9000), track(2800, 13000, 2800), track(2800, 13000, 2800)},
		{"idle was read on them, at a third", track(9000, 13000, 9000), track(3000, 13000, 3000), track(3000, 13000, 3000)},
		{"another reading changes, too", track(9000, 13000, 8100, 8100), track(2800, 13000, 13000, 13000), track(2800, 13000, 8100, 8100)},
		{"only others change", track(2800, 13000, 8100), track(2800, 13000, 13000), track(2800, 13000, 8100)},
		{"the half goes with them", track(9000, 6500, 13000, 9000), track(2800, 13000, 13000, 2800), track(2800, 13000, 13000, 2800)},
		{"the faster one of them stays", track(9000, 13000, 3000, 6000), track(2800, 6500, 3000, 3000), track(2800, 13000, 3000, 3000)},
		{"nothing was told with them", track(2800, 0, 13000, 0), track(2800, 5000, 13000, 2900), track(2800, 5000, 13000, 2900)},
		{"only halves change", track(2800, 6500, 6500), track(2800, 13000, 13000), track(2800, 6500, 6500)},
		{"without them it does not answer", track(9000, 13000, 13000), track(13000, 13000, 13000), track(9000, 13000, 13000)},
		{"without them it is hardly heard", track(9000, 9000, 9000, 13000), track(0, 0, 0, 13000), track(9000, 9000, 9000, 13000)},
		{"without them it is another engine", track(9000, 9000, 9000, 9000, 13000), track(2800, 3300, 5000, 6000, 13000), track(9000, 9000, 9000, 9000, 13000)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := Default().Interferer.choose(tt.without, tt.with, lines, 1)
			for i, p := range got {
				if p.Speed != tt.want[i].Speed {
					t.Fatalf("point %d: %v, want %v", i, p.Speed, tt.want[i].Speed)
				}
			}
		})
	}
}

// TestCapContrast: frames with the same lines have so much contrast
// together at most, and others keep theirs.
func TestCapContrast(t *testing.T) {
	frame := func(hop, lines int) observation {
		return observation{hop: hop, spacing: lines, logLikelihood: []float32{10}, contrastTerm: []float32{4}}
	}
	frames := []observation{frame(0, 30), frame(4, 31), frame(8, 31), frame(12, 32), frame(19, 31), frame(20, 60)}
	capContrast(frames, 5) // of the 20 hops that hear much the same
	for i, h := range frames {
		want := 10 - 4*0.75
		if i == len(frames)-1 {
			want = 10
		}
		if math.Abs(float64(h.logLikelihood[0])-want) > 1e-6 {
			t.Errorf("frame %d: evidence %v, want %v", i, h.logLikelihood[0], want)
		}
	}
}

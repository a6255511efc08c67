package pass_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/shaft"
)

// bench is the query of most tests: a two-stroke with all three speeds entered.
var bench = engine.Machine{
	Spec:   engine.TwoStrokeSingle,
	Limits: engine.Limits{Max: 13500, Idle: 2800, Clutch: 3800},
}

func summarise(t *passtest.Track) pass.Summary {
	return pass.Summarise(t.Build(), nil, bench, pass.Default())
}

// kinds writes the phases of a summary in one line.
func kinds(s pass.Summary) string {
	var out []string
	for _, p := range s.Phases {
		out = append(out, string(p.Kind))
	}
	return strings.Join(out, " ")
}

// whole is a pass from silence to silence with a cut in it.
func whole(seed uint64) *passtest.Track {
	return passtest.New(seed).Quiet(1).Ramp(0.3, 1300, 2800).Hold(2, 2800).
		Ramp(0.4, 2800, 13000).Fires(2).Hold(3, 13000).
		Ramp(0.3, 13000, 9000).Fires(1).Hold(2, 9000).Ramp(0.2, 9000, 12900).
		Fires(2).Hold(2, 12900).Fires(1).Ramp(0.8, 12900, 2800).Hold(2, 2800).
		Ramp(0.3, 2800, 1300).Quiet(1)
}

// phaseCases are passes and the phases that they are cut into.
var phaseCases = []struct {
	name  string
	track *passtest.Track
	want  string
}{
	{"nothing at all", passtest.New(1), ""},
	{"silence", passtest.New(1).Quiet(3), "no-engine"},
	{"silence to silence, with a cut", whole(1),
		"no-engine starting idle rise full-throttle in-the-cut full-throttle fall return-to-idle stopping no-engine"},
	{"already running, no silence", passtest.New(2).Hold(2, 2800).Ramp(0.4, 2800, 12500).Hold(3, 12500).Ramp(0.8, 12500, 2800).Hold(2, 2800),
		"idle rise full-throttle fall return-to-idle"},
	{"begins and ends at full throttle", passtest.New(3).Hold(4, 12500), "full-throttle"},
	{"full throttle after a second without points", passtest.New(40).Hold(2, 2800).Hole(1).Hold(3, 12500), "idle not-told full-throttle"},
	{"idle only", passtest.New(4).Hold(4, 2900), "idle"},
	{"a plateau, then pulled down to the end", passtest.New(5).Hold(2, 12800).Ramp(0.4, 12800, 9300).Hold(2, 9300),
		"full-throttle in-the-cut"},
	{"pulled down by a tenth and a half", passtest.New(5).Hold(2, 12800).Ramp(0.2, 12800, 10900).Hold(2, 10900).Ramp(0.2, 10900, 12800).Hold(2, 12800),
		"full-throttle in-the-cut full-throttle"},
	{"let go out of the cut", passtest.New(6).Hold(2, 12800).Ramp(0.4, 12800, 9300).Hold(2, 9300).Ramp(0.7, 9300, 2800).Hold(1, 2800),
		"full-throttle in-the-cut fall return-to-idle"},
	{"throttle let off and opened again is no cut", passtest.New(7).Hold(2, 12800).Ramp(0.5, 12800, 8000).Ramp(0.5, 8000, 12800).Hold(2, 12800),
		"full-throttle fall rise full-throttle"},
	{"a snag of 0.3 s is no cut", passtest.New(8).Hold(2, 12800).Ramp(0.1, 12800, 10500).Hold(0.1, 10500).Ramp(0.1, 10500, 12800).Hold(2, 12800),
		"full-throttle"},
	{"two passes", passtest.New(9).Hold(1, 2800).Ramp(0.4, 2800, 12500).Hold(2, 12500).Ramp(0.8, 12500, 2800).Hold(1.5, 2800).Ramp(0.4, 2800, 12600).Hold(2, 12600).Ramp(0.8, 12600, 2800).Hold(1, 2800),
		"idle rise full-throttle fall return-to-idle rise full-throttle fall return-to-idle"},
	{"a richer pass first", passtest.New(10).Hold(1, 2800).Ramp(0.4, 2800, 11000).Hold(2, 11000).Ramp(0.8, 11000, 2800).Hold(1.5, 2800).Ramp(0.4, 2800, 13200).Hold(2, 13200),
		"idle rise full-throttle fall return-to-idle rise full-throttle"},
	{"blips of the throttle at idle", passtest.New(11).Hold(2, 2800).Ramp(0.1, 2800, 4500).Ramp(0.1, 4500, 2800).Hold(1, 2800).Ramp(0.4, 2800, 12500).Hold(2, 12500),
		"idle rise full-throttle"},
	{"a blip to the top is no full throttle", passtest.New(12).Hold(1, 2800).Ramp(0.4, 2800, 12500).Hold(2, 12500).Ramp(0.7, 12500, 2800).Hold(1, 2800).Ramp(0.3, 2800, 11000).Ramp(0.4, 11000, 2800).Hold(1, 2800),
		"idle rise full-throttle fall return-to-idle rise fall return-to-idle"},
	{"held half-way, then opened", passtest.New(13).Hold(1, 2800).Ramp(0.3, 2800, 8500).Hold(2, 8500).Ramp(0.2, 8500, 12500).Hold(2, 12500),
		"idle rise part-throttle rise full-throttle"},
	{"doubled for a few frames", passtest.New(14).Hold(1.5, 12500).Hold(0.16, 25000).Hold(1.5, 12500), "full-throttle"},
	{"halved for a few frames", passtest.New(15).Hold(1.5, 12500).Hold(0.16, 6250).Hold(1.5, 12500), "full-throttle"},
	{"halved at the very beginning", passtest.New(16).Hold(0.16, 6250).Hold(2, 12500), "not-told full-throttle"},
	{"doubled at the very end", passtest.New(16).Hold(2, 12500).Hold(0.4, 25000), "full-throttle not-told"},
	{"a leap parts what is measured", passtest.New(16).Hold(2, 2800).Hold(2, 8400), "idle full-throttle"},
	{"half of a low top is an idle all the same", passtest.New(16).Hold(1.5, 5200).Ramp(0.5, 5200, 3300).Hold(2, 3300), "full-throttle fall return-to-idle"},
	{"no cut is as slow as an idle", passtest.New(16).Hold(1.5, 6500).Ramp(0.3, 6500, 4700).Hold(2, 4700), "full-throttle fall"},
	{"bogged down, not back at idle", passtest.New(16).Hold(2, 2700).Ramp(0.4, 2700, 10200).Hold(2, 10200).Ramp(0.6, 10200, 4900).Hold(1, 4900).Ramp(0.6, 4900, 10200).Hold(1, 10200),
		"idle rise full-throttle fall part-throttle rise full-throttle"},
	{"short gaps", passtest.New(17).Hold(1, 12500).Quiet(0.4).Hold(1, 12500).Quiet(0.2).Hold(1, 12500), "full-throttle"},
	{"a gap too long to bridge", passtest.New(18).Hold(1, 12500).Quiet(0.8).Hold(1, 12500), "full-throttle not-told full-throttle"},
	{"stopped and started", passtest.New(19).Hold(2, 2800).Ramp(0.3, 2800, 1300).Quiet(3).Ramp(0.3, 1300, 2900).Hold(2, 2900),
		"idle stopping no-engine starting idle"},
	{"begins as it is started", passtest.New(19).Ramp(0.8, 900, 2900).Hold(3, 2800), "starting idle"},
	{"blips of the throttle and nothing else", passtest.New(19).Hold(2, 2800).Ramp(0.25, 2800, 11000).Ramp(0.5, 11000, 2800).Hold(1, 2800).Ramp(0.25, 2800, 11000).Ramp(0.5, 11000, 2800).Hold(1, 2800),
		"idle rise fall return-to-idle rise fall return-to-idle"},
	{"stop switch at full throttle", passtest.New(20).Hold(2, 12500).Ramp(1, 12500, 1500).Quiet(2), "full-throttle stopping no-engine"},
	{"a bark and a chirp are no engine", passtest.New(21).Quiet(1).Hold(0.2, 9000).Quiet(1).Hold(0.1, 4000).Quiet(1), "no-engine"},
	{"very noisy", passtest.New(22).Noise(0.02, 0.02).Hold(2, 2800).Ramp(0.4, 2800, 12500).Hold(3, 12500).Ramp(0.8, 12500, 2800).Hold(2, 2800),
		"idle rise full-throttle fall return-to-idle"},
}

// TestPhases: a pass is cut as a technician would describe it.
func TestPhases(t *testing.T) {
	t.Parallel()
	for _, tt := range phaseCases {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := summarise(tt.track)
			if got := kinds(s); got != tt.want {
				t.Errorf("phases are\n  %s\nwant\n  %s", got, tt.want)
			}
			checkPartition(t, tt.track.Build(), s.Phases)
		})
	}
}

// errorer is the part of testing.T that rapid.T has too.
type errorer interface{ Errorf(string, ...any) }

// checkPartition holds phases to what a reader of the report relies on: they
// cover the track from end to end, one after the other, and their figures are
// in order.
func checkPartition(t errorer, track shaft.Track, phases []pass.Phase) {
	if len(track.Points) == 0 {
		if len(phases) != 0 {
			t.Errorf("%d phases of an empty track", len(phases))
		}
		return
	}
	at := track.Points[0].At
	for _, p := range phases {
		if p.From != at || p.To <= p.From {
			t.Errorf("phase %s runs from %v to %v, want from %v", p.Kind, p.From, p.To, at)
		}
		if p.Min > p.Median || p.Median > p.Max || p.FourStroking < 0 || p.FourStroking > 1 {
			t.Errorf("phase %s has the figures %v", p.Kind, p)
		}
		at = p.To
	}
	if n := len(phases); n > 0 && math.Abs(float64(at-track.Points[len(track.Points)-1].At-passtest.Hop)) > 1e-9 {
		t.Errorf("the phases end at %v", at)
	}
}

func TestPhaseTimes(t *testing.T) {
	t.Parallel()
	// The times at which whole changes from one thing to the next. A rise
	// begins where it is a twentieth of the way up and ends, as a fall begins,
	// within a tenth of the top.
	want := []struct {
		kind     pass.Kind
		from, to engine.Seconds
	}{
		{pass.NoEngine, 0, 1}, {pass.Starting, 1, 1.3}, {pass.Idle, 1.3, 3.34}, {pass.Rise, 3.34, 3.67},
		{pass.FullThrottle, 3.67, 6.8}, {pass.InCut, 6.8, 9.15}, {pass.FullThrottle, 9.15, 11.25},
		{pass.Fall, 11.25, 12}, {pass.ReturnToIdle, 12, 14}, {pass.Stopping, 14, 14.3}, {pass.NoEngine, 14.3, 15.3},
	}
	got := summarise(whole(1)).Phases
	if len(got) != len(want) {
		t.Fatalf("%d phases, want %d", len(got), len(want))
	}
	const off = 0.1 // s: the running median and the play of the bands
	for i, w := range want {
		if g := got[i]; g.Kind != w.kind || math.Abs(float64(g.From-w.from)) > off || math.Abs(float64(g.To-w.to)) > off {
			t.Errorf("phase %d is %s from %.2f to %.2f, want %s from %.2f to %.2f", i, g.Kind, g.From, g.To, w.kind, w.from, w.to)
		}
	}
}

// A limit must not move a phase: then raising it can only make a verdict safer.
func TestMaximumDoesNotCut(t *testing.T) {
	t.Parallel()
	track := whole(1).Build()
	q := bench
	want := pass.Summarise(track, nil, q, pass.Default())
	for _, limit := range []engine.RPM{0, 1000, 9000, 40000} {
		q.Limits.Max = limit
		if got := pass.Summarise(track, nil, q, pass.Default()); !slices.Equal(got.Phases, want.Phases) {
			t.Errorf("with a limit of %v the phases are %v, want %v", limit, got.Phases, want.Phases)
		}
	}
}

func TestFourStrokeFloor(t *testing.T) {
	t.Parallel()
	// A governed mower: 1,700 at idle, 3,100 at the top (common practice).
	track := passtest.New(1).Hold(2, 1500).Ramp(0.5, 1500, 3100).Hold(3, 3100)
	q := engine.Machine{Spec: engine.Spec{Strokes: 4, Cylinders: 1}}
	if got, want := kinds(pass.Summarise(track.Build(), nil, q, pass.Default())), "idle rise full-throttle"; got != want {
		t.Errorf("phases are %s, want %s", got, want)
	}
}

package synth

import (
	"slices"
	"testing"

	"topnote/internal/engine"
)

// plain is a run of 4 s at full throttle and 3 s in the cut, at 12,000 rpm, that
// four-strokes for given shares of the cycles and loses sparks for a given share
// of every second without load.
type plain struct {
	speed       engine.RPM
	free        engine.Seconds // of full throttle; 0: 4 s
	four, inCut float64
	second      float64        // share of the second stretch without load, after the cut; 0: none
	cutsFor     engine.Seconds // of every second in which the coil cuts
	cutsOnce    engine.Seconds // from 2 s on
	faster      engine.Seconds // from 1 s on, by a twentieth
}

func (p plain) run() *Run {
	if p.free == 0 {
		p.free = 4
	}
	r := &Run{Engine: engine.TwoStrokeSingle, Spans: []Span{{Name: FullThrottle, To: p.free}, {Name: InCut, From: p.free, To: p.free + 3}}}
	if p.second > 0 {
		r.Spans = append(r.Spans, Span{Name: FullThrottle, From: p.free + 3, To: p.free + 5})
	}
	r.Length = r.Spans[len(r.Spans)-1].To
	for t := engine.Seconds(0); t < r.Length; t += Step {
		m := OperatingPoint{Speed: p.speed}
		if t >= 1 && t < 1+p.faster {
			m.Speed *= 1.05
		}
		r.OperatingPoints = append(r.OperatingPoints, m)
	}
	const turn engine.Seconds = 0.005
	for i := range int(r.Length / turn) {
		b := Cycle{At: engine.Seconds(i) * turn, Every: 1, Fired: true}
		four := p.four
		if b.At >= p.free {
			four = p.inCut
		}
		if b.At >= p.free+3 {
			four = p.second
		}
		if float64(i%20) < 20*four {
			b.Every = 2
		}
		if inSecond := engine.Seconds(i%200) * turn; inSecond < p.cutsFor || b.At >= 2 && b.At < 2+p.cutsOnce {
			b.Every, b.Cut = 0, true
		}
		r.Cycles = append(r.Cycles, b)
	}
	return r
}

// TestDeserve: on either side of every line the truth supports the codes that it
// does, and no others. Source: the table of verdicts in design.md, and the lines of
// docs/verdicts.md, with a limit of 13,000 rpm.
func TestDeserve(t *testing.T) {
	const limit = 13000
	for _, tt := range []struct {
		name string
		run  plain
		want []string
	}{
		{"1.5 % over", plain{speed: 1.015 * limit, four: 1}, []string{overLimit}},
		{"half a percent over", plain{speed: 1.005 * limit, four: 1}, []string{overLimit, atLimit}},
		{"half a percent under", plain{speed: 0.995 * limit, four: 1}, []string{fourStroking, atLimit}},
		{"1.5 % under", plain{speed: 0.985 * limit, four: 1}, []string{fourStroking}},
		{"over for 0.3 s only", plain{speed: 0.97 * limit, four: 1, faster: 0.3}, []string{fourStroking, atLimit}},
		{"clean", plain{speed: 12500}, []string{cleanBelowLimit}},
		{"four-strokes for just under half", plain{speed: 12500, four: 0.45}, []string{cleanBelowLimit}},
		{"for just over half: it does, and it is an edge", plain{speed: 12500, four: 0.55}, []string{fourStroking, cleanBelowLimit}},
		{"for 65 %", plain{speed: 12500, four: 0.65}, []string{fourStroking, cleanBelowLimit}},
		{"for 75 %", plain{speed: 12500, four: 0.75}, []string{fourStroking}},
		{"leaner after the cut", plain{speed: 12500, four: 1, second: 0.3}, []string{fourStroking, cleanBelowLimit}},
		{"in the cut as well", plain{speed: 12500, four: 1, inCut: 0.75}, []string{richInCut}},
		{"in the cut for just over half", plain{speed: 12500, four: 1, inCut: 0.55}, []string{richInCut, fourStroking}},
		{"in the cut for just under half", plain{speed: 12500, four: 1, inCut: 0.45}, []string{fourStroking}},
		{"at 78 % of the limit", plain{speed: 0.78 * limit, four: 1}, []string{richInCut}},
		{"at 79.5 %", plain{speed: 0.795 * limit, four: 1}, []string{richInCut, fourStroking}},
		{"at 80.5 %", plain{speed: 0.805 * limit, four: 1}, []string{fourStroking, richInCut}},
		{"at 82 %", plain{speed: 0.82 * limit, four: 1}, []string{fourStroking}},
		{"clean at 78 %", plain{speed: 0.78 * limit}, []string{cleanBelowLimit, notEnough}},
		{"0.7 s", plain{speed: 12500, free: 0.7}, []string{notEnough}},
		{"0.9 s", plain{speed: 12500, free: 0.9}, []string{notEnough, cleanBelowLimit}},
		{"1.1 s", plain{speed: 12500, free: 1.1}, []string{cleanBelowLimit, notEnough}},
		{"1.3 s", plain{speed: 12500, free: 1.3}, []string{cleanBelowLimit}},
		{"sparks lost all the time", plain{speed: 12500, cutsFor: 0.85}, []string{sparkLimited}},
		{"for half a second of each", plain{speed: 12500, cutsFor: 0.45}, []string{sparkLimited}},
		{"for 0.35 s of each", plain{speed: 12500, cutsFor: 0.35}, []string{sparkLimited}},
		{"all the time, and rich", plain{speed: 12500, four: 1, cutsFor: 0.35}, []string{sparkLimited, fourStroking}},
		{"for 0.6 s once", plain{speed: 12500, cutsOnce: 0.6}, []string{cleanBelowLimit, sparkLimited}},
		{"for 0.2 s of each", plain{speed: 12500, cutsFor: 0.2}, []string{cleanBelowLimit}},
		{"now and then, four-stroking", plain{speed: 12500, four: 1, cutsFor: 0.02}, []string{fourStroking}},
	} {
		if d := Deserve(tt.run.run(), Limits{Max: limit}); !slices.Equal(d.Allows, tt.want) || d.Code != tt.want[0] {
			t.Errorf("%s: %v, want %v (%+v)", tt.name, d.Allows, tt.want, d)
		}
	}
}

package measure_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"topnote/internal/binom"
	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/report"
	"topnote/internal/synth"
)

// drawn is a pass with faults of known size: sag, overshoot, drift, surging,
// hunting, hanging, each in about half of the draws.
type drawn struct {
	synth.Pass
	surgeBy     float64 // depth of surging at full throttle, share of the top, from the middle
	surgePeriod engine.Seconds
}

func drawPass(r *rand.Rand) drawn {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	sometimes := func(v float64) float64 { return v * float64(r.IntN(2)) }
	seconds := func(a, b float64) engine.Seconds { return engine.Seconds(between(a, b)) }
	rpm := func(v float64) engine.RPM { return engine.RPM(v) }
	d := drawn{Pass: synth.Pass{
		Idle: rpm(between(2500, 3100)), Top: rpm(between(11800, 13600)),
		IdleFor: seconds(2, 3.5), RiseIn: seconds(0.35, 1), HoldFor: seconds(3, 5), FallIn: seconds(0.8, 1.6), ReturnFor: seconds(1.5, 2.5),
		Overshoot: sometimes(between(0.02, 0.05)), Sag: sometimes(between(0.1, 0.25)),
		DriftPerSecond: rpm(sometimes(between(-150, 150))),
	}}
	if r.IntN(2) == 0 {
		d.CutTo, d.CutFor, d.AgainFor = d.Top*rpm(between(0.66, 0.82)), seconds(1.5, 3), seconds(1.2, 2)
	}
	if r.IntN(2) == 0 {
		d.HangAt, d.HangFor = d.Idle*rpm(between(1.3, 1.6)), seconds(0.5, 2.5)
	}
	if r.IntN(2) == 0 {
		d.HuntBy, d.HuntPeriod = between(0.05, 0.12), seconds(0.4, 0.8)
	}
	if r.IntN(3) == 0 {
		d.surgeBy, d.surgePeriod = between(0.02, 0.04), seconds(0.4, 0.9)
	}
	return d
}

// scene gives the pass its firing and its sound.
func (d drawn) scene(seed uint64, r *rand.Rand) synth.Scene {
	p := d.Profile()
	at := p.At
	p.At = func(t engine.Seconds) synth.OperatingPoint {
		m := at(t)
		for _, s := range p.Spans {
			if s.Name == synth.FullThrottle && t >= s.From && t < s.To && d.surgeBy > 0 {
				m.Speed *= engine.RPM(1 + d.surgeBy*math.Sin(2*math.Pi*float64((t-s.From)/d.surgePeriod)))
			}
		}
		return m
	}
	share := r.Float64() // of clean running at full throttle
	return synth.NewScene(seed, p, synth.ByPhase(p, map[string]synth.Firing{
		"":                 synth.Idling(),
		synth.Rise:         synth.Clean(),
		synth.FullThrottle: synth.Mixed(0.7, 0.4, synth.Mode{Every: 1, Share: share}, synth.Mode{Every: 2, Share: 1 - share}),
		synth.InCut:        synth.Clean(),
	}))
}

// figure is a measured figure with its standard deviation beside the truth. A
// figure that was not told has no deviation.
type figure struct {
	name          string
	got, sd, want float64
}

// truths holds what was measured of a pass against what the engine did. Each
// truth is worked out here, from the exact speed of the shaft, by the words of
// docs/verdicts.md and of the report; nothing of package pass is used but its
// Options, for where a rise ends or a hang begins.
type truths struct {
	*synth.Run
	drawn
	o pass.Options
}

func (x truths) all(r report.Report) []figure {
	var out []figure
	if r.Idle != nil {
		out = append(out, x.idle(r.Idle)...)
	}
	if r.TopEnd != nil {
		out = append(out, x.top(r.TopEnd)...)
	}
	out = append(out, x.rise(r.Rise)...)
	if x.CutTo > 0 {
		out = append(out, x.cut(r.Cut)...)
	}
	return append(out, x.fall(r.Fall)...)
}

// speeds gives the true speeds between two times, every Step.
func (x truths) speeds(from, to float64) []float64 {
	var v []float64
	for t := from; t < to; t += float64(synth.Step) {
		v = append(v, float64(x.SpeedAt(engine.Seconds(t))))
	}
	return v
}

func at(p float64, v []float64) float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	if len(v) == 0 {
		return math.NaN()
	}
	return v[int(p*float64(len(v)-1))]
}

// heldIn gives the highest mean of the true speed over so many seconds within
// a stretch.
func (x truths) heldIn(from, to, long float64) float64 {
	v, n := x.speeds(from, to), int(long/float64(synth.Step))
	var sum, top float64
	for i := range v {
		sum += v[i]
		if i >= n {
			sum -= v[i-n]
		}
		if i >= n-1 {
			top = max(top, sum/float64(n))
		}
	}
	return top
}

// climb gives the slope of the true speed, by least squares, rpm per second.
func (x truths) climb(from, to float64) float64 {
	v := x.speeds(from, to)
	middle := float64(len(v)-1) / 2
	var both, square float64
	for i := range v {
		both += (float64(i) - middle) * v[i]
		square += (float64(i) - middle) * (float64(i) - middle)
	}
	return both / square / float64(synth.Step)
}

// first gives the first time from one on, in steps, at which the true speed
// passes f.
func (x truths) first(from float64, f func(float64) bool) float64 {
	for t := from; t < float64(x.Length); t += float64(synth.Step) {
		if f(float64(x.SpeedAt(engine.Seconds(t)))) {
			return t
		}
	}
	return math.NaN()
}

func (x truths) idle(r *report.Idle) []figure {
	v := x.speeds(r.FromS, r.ToS)
	out := []figure{
		{"idle: speed", float64(r.RPM), r.SDRPM, at(0.5, v)},
		{"idle: spread", r.SpreadRPM, r.SpreadSDRPM, (at(0.95, v) - at(0.05, v)) / 2},
		{"idle: under clutch", *r.UnderClutchRPM, *r.UnderClutchSDRPM, float64(clutch) - x.highestIdle()},
	}
	if x.HuntBy > 0 {
		out = append(out, x.swing("idle: hunting", r.Hunting, x.HuntPeriod, r.FromS, r.ToS)...)
	} else if r.Drift != nil {
		out = append(out, figure{"idle: drift", r.Drift.RPMPerS, r.Drift.SDRPMPerS, x.climb(r.FromS, r.ToS)})
	}
	return out
}

// highestIdle gives the highest speed held for half a second in the two idles,
// the end of the fall with them from where it is near idle: the middle of its
// speeds, but no more than a band above what four fifths of it reach.
func (x truths) highestIdle() float64 {
	const edge, every = 0.1, 0.02 // s
	var top float64
	for _, s := range x.Spans {
		if s.Name != synth.Idle && s.Name != synth.ReturnToIdle {
			continue
		}
		from := float64(s.From)
		if fall, _ := x.Span(synth.Fall); s.Name == synth.ReturnToIdle {
			from = x.first(float64(fall.From), func(v float64) bool { return v <= x.o.NearIdle*float64(x.Idle) })
		}
		for t := from + edge; t+float64(x.o.HeldFor) < float64(s.To)-edge; t += every {
			v := x.speeds(t, t+float64(x.o.HeldFor))
			top = max(top, min(at(0.5, v), at(1-x.o.HeldShare, v)/(1-x.o.HeldBand)))
		}
	}
	return top
}

// swing holds a swing against its period and the width, over the stretch from
// one time to another, that nine tenths of the true speed keep to.
func (x truths) swing(name string, s *report.Oscillation, period engine.Seconds, from, to float64) []figure {
	if s == nil {
		return []figure{{name: name + ", period", want: float64(period)}}
	}
	v, k := x.speeds(from, to), x.climb(from, to)
	for i := range v {
		v[i] -= k * float64(i) * float64(synth.Step)
	}
	return []figure{
		{name + ", period", s.PeriodS, s.PeriodSDS, float64(period)},
		{name + ", depth", s.DepthRPM, s.DepthSDRPM, at(0.95, v) - at(0.05, v)},
	}
}

func (x truths) top(r *report.TopEnd) []figure {
	settled := r.FromS + float64(x.o.SettleFor)
	out := []figure{
		{"full throttle: sustained", float64(r.SustainedRPM), r.SDRPM, float64(x.Sustained(synth.SustainedFor))},
		{"full throttle: peak", float64(r.PeakRPM), r.PeakSDRPM, float64(x.Peak())},
	}
	if x.surgeBy > 0 {
		out = append(out, x.swing("full throttle: surging", r.Surge, x.surgePeriod, settled, r.ToS)...)
	} else if r.Drift != nil {
		from, to := r.FromS+float64(x.o.CreepFor), r.ToS-float64(x.o.BriefFor)
		out = append(out, figure{"full throttle: drift", r.Drift.RPMPerS, r.Drift.SDRPMPerS, x.climb(from, to)})
	}
	if x.Overshoot > 0 && x.surgeBy == 0 {
		over := x.heldIn(r.FromS, settled+float64(x.o.BriefFor)/2, float64(x.o.BriefFor)) - at(0.5, x.speeds(settled, r.ToS))
		out = append(out, figure{"full throttle: overshoot", r.OvershootRPM, r.OvershootSDRPM, over})
	}
	four := 1 - x.Share(1, engine.Seconds(settled), engine.Seconds(r.ToS))
	return append(out, figure{"full throttle: four-stroking", r.FourStrokingShare, r.FourStrokingSD, four})
}

func (x truths) rise(r *report.Rise) []figure {
	s, _ := x.Span(synth.Rise)
	opens := float64(s.From)
	if r == nil {
		return []figure{{name: "rise: time"}}
	}
	idle := at(0.5, x.speeds(opens-float64(x.o.MinIdle), opens))
	bottom := at(0, x.speeds(opens, float64(s.To)))
	top := float64(r.TopRPM)
	from := x.first(opens, func(v float64) bool { return v > idle+x.o.LeaveShare*(top-idle) })
	var out []figure
	if x.Sag > 0 {
		out = append(out, figure{"rise: sag", r.SagRPM, r.SagSDRPM, idle - bottom})
	}
	if r.SagRPM > 0 { // the rise begins with it
		from = x.first(opens, func(v float64) bool { return v < (1-x.o.LeaveShare)*idle })
	}
	to := x.first(from, func(v float64) bool { return v >= x.o.TopShare*top })
	return append(out, figure{"rise: time", r.TimeS, r.SDS, to - from})
}

func (x truths) cut(r *report.Cut) []figure {
	if r == nil {
		return []figure{{name: "cut: speed"}}
	}
	const enter, leave = 0.5, 0.6 // s, of synth.Pass: into the wood and out of it
	s, _ := x.Span(synth.InCut)
	top := at(0.5, x.speeds(float64(s.To)+leave, float64(s.To)+leave+float64(x.AgainFor)))
	speed := at(0.5, x.speeds(float64(s.From)+enter, float64(s.To)))
	out := []figure{
		{"cut: speed", float64(r.RPM), r.SDRPM, speed},
		{"cut: four-stroking", r.FourStrokingShare, r.FourStrokingSD, 1 - x.Share(1, s.From+enter, s.To)},
	}
	if r.BackS != nil {
		to := x.first(float64(s.To), func(v float64) bool { return v >= x.o.BackShare*top })
		from := to
		for float64(x.SpeedAt(engine.Seconds(from))) > speed+x.o.LeaveShare*(top-speed) {
			from -= float64(synth.Step)
		}
		out = append(out, figure{"cut: time back", *r.BackS, *r.BackSDS, to - from})
	}
	return out
}

func (x truths) fall(r *report.Fall) []figure {
	if r == nil {
		return []figure{{name: "fall: time"}}
	}
	s, _ := x.Span(synth.Fall)
	idle := float64(r.IdleRPM)
	top := at(0.5, x.speeds(float64(s.From-x.o.SettleFor), float64(s.From)))
	from := x.first(float64(s.From), func(v float64) bool { return v < x.o.TopShare*top })
	near := x.first(from, func(v float64) bool { return v <= x.o.HangFrom*idle })
	back := x.first(from, func(v float64) bool { return v <= x.o.NearIdle*idle })
	out := []figure{{"fall: time", r.TimeS, r.SDS, back - from}}
	if x.HangAt > 0 {
		out = append(out, figure{"fall: hanging", r.HangS, r.HangSDS, back - near})
	}
	return out
}

// clutch is the engagement speed that is entered with drawn passes.
const clutch engine.RPM = 4200

// coverage counts how often the truth lay within two standard deviations.
type coverage struct{ inside, told, all int }

// add counts a figure, and logs it where it was not told or is farther off.
func (c *coverage) add(t *testing.T, f figure, seed uint64, damage string) {
	t.Helper()
	c.all++
	if f.sd == 0 {
		t.Logf("seed %d, %s: %s not told", seed, damage, f.name)
		return
	}
	c.told++
	if math.Abs(f.got-f.want) <= 2*f.sd {
		c.inside++
		return
	}
	t.Logf("seed %d, %s: %s %.4g, give or take %.3g, truly %.4g", seed, damage, f.name, f.got, 2*f.sd, f.want)
}

// hold fails where fewer lie inside than fit a share.
func (c *coverage) hold(t *testing.T, name string, want float64) {
	t.Helper()
	if least := binom.Min(c.told, want); c.inside < least {
		t.Errorf("%s: %d of %d within two deviations; %d would fit %.0f %%", name, c.inside, c.told, least, 100*want)
	}
}

// knownGaps are the figures whose deviations are too small: their truth lies
// within two of them 85 to 94 times in 100 over 100 passes (docs/verdicts.md).
var knownGaps = []string{
	"fall: hanging", "full throttle: surging, depth", "idle: hunting, depth", "idle: under clutch", "rise: sag",
}

// TestFigures measures random passes through damages of telephone and place and
// holds every figure to its deviation: the truth must lie within two of them 95
// times in 100 (issue 4, point 2: each with its uncertainty). Of a single figure the
// daily passes are too few to tell; -runs 200 has enough.
func TestFigures(t *testing.T) {
	t.Parallel()
	const (
		required = 0.95
		floor    = 0.8 // of a known gap; guards against getting worse, nothing requires it
		enough   = 40
	)
	count, total := map[string]*coverage{}, &coverage{}
	for seed := range uint64(max(1, *runs/2)) {
		r := rand.New(rand.NewPCG(seed, 1))
		d := drawPass(r)
		s, damage := d.scene(seed, r).Damaged(seed)
		x := truths{s.Run(), d, pass.Default()}
		for _, f := range x.all(measureScene(t, s, synth.Limits{Max: 14500, Idle: d.Idle, Clutch: clutch}).Report) {
			if count[f.name] == nil {
				count[f.name] = &coverage{}
			}
			count[f.name].add(t, f, seed, damage)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(count)) {
		c := count[name]
		total.inside, total.told = total.inside+c.inside, total.told+c.told
		t.Logf("%-32s told %3d of %3d, within two deviations %5.1f %%", name, c.told, c.all, 100*share(c.inside, c.told))
		want := required
		if slices.Contains(knownGaps, name) {
			want = floor
		}
		if c.told >= enough {
			c.hold(t, name, want)
		}
	}
	t.Logf("all: %d of %d within two deviations, %.1f %%", total.inside, total.told, 100*share(total.inside, total.told))
	total.hold(t, "all figures", required)
}

func share(part, whole int) float64 { return float64(part) / float64(max(1, whole)) }

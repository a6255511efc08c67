package verdict

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
	"topnote/internal/shaft"
)

// drawHoles draws a pass that four-strokes under a limit, then a hole or a
// silence, then more at full throttle, on either side of the limit, with more
// holes between. It gives the highest speed that was truly held without a break
// for longer than any wrong reading is taken for.
func drawHoles(t *rapid.T, limit engine.RPM) (track shaft.Track, held engine.RPM) {
	b := passtest.New(rapid.Uint64().Draw(t, "seed"))
	hold := func(speed engine.RPM, d engine.Seconds) {
		noise := rapid.SampledFrom([]float64{0.001, 0.004, 0.015}).Draw(t, "noise")
		b.Noise(noise, noise).Hold(d, speed)
		if d >= 0.7 {
			held = max(held, speed)
		}
	}
	seconds := func(name string, from, to float64) engine.Seconds {
		return engine.Seconds(rapid.Float64Range(from, to).Draw(t, name))
	}
	hold(2800, seconds("idle", 0.5, 2))
	b.Fires(2)
	hold(0.93*limit, seconds("first", 1, 3))
	for range rapid.IntRange(1, 4).Draw(t, "parts") {
		switch rapid.IntRange(0, 3).Draw(t, "between") {
		case 0:
			b.Quiet(seconds("silence", 0.02, 2))
		case 1, 2:
			b.Hole(seconds("hole", 0.02, 2))
		}
		if rapid.IntRange(0, 3).Draw(t, "fires otherwise") == 0 {
			b.Fires(drawFiring(t)...)
		}
		hold(limit*engine.RPM(rapid.Float64Range(0.9, 1.1).Draw(t, "speed")), seconds("length", 0.1, 3))
	}
	return b.Build(), held
}

// No safe code unless what was held, wherever in the clip, is under the limit
// with its uncertainty: whatever is missing from the track, by the speeds that
// the track was made from as by those that were measured.
func TestNothingSafeReachesTheLimit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := saw(engine.RPM(rapid.Float64Range(11000, 15000).Draw(t, "limit")))
		track, held := drawHoles(t, q.Limits.Max)
		s := pass.Summarise(track, nil, q, pass.Default())
		v := Judge(s, q, quality.Quality{}, Default())
		if !v.Code.safe() {
			return
		}
		if held >= q.Limits.Max {
			t.Errorf("%s, with %.0f rpm held under a limit of %.0f: %s", v.Code, held, q.Limits.Max, v.Says)
		}
		for _, p := range s.Plateaus {
			if p.Sustained.Speed+2*p.Sustained.SD >= q.Limits.Max {
				t.Errorf("%s, with %+v under a limit of %.0f: %s", v.Code, p.Sustained, q.Limits.Max, v.Says)
			}
		}
	})
}

// What was found: after a hole of one second nothing was held any more.
func TestOverAfterAHole(t *testing.T) {
	track := opened(1, 12500).Fires(2).Hold(2, 12500).Hole(1).Hold(3, 14500)
	if v := judge(track.Build(), saw(13500)); v.Code != OverLimit || strings.Contains(v.Says, "under") {
		t.Errorf("%s: %s", v.Code, v.Says)
	}
}

// The guard does not depend on the rules before it: no summary that contradicts
// itself, as no track can give it, gets a safe code past it.
func TestGuard(t *testing.T) {
	t.Parallel()
	const limit = 13500
	rapid.Check(t, func(t *rapid.T) {
		speed := func(name string) engine.RPM {
			return engine.RPM(rapid.SampledFrom([]float64{0, 9000, 12700, 13400, 13600, 15000, math.NaN(), math.Inf(1)}).Draw(t, name))
		}
		figure := func(name string) pass.Figure {
			return pass.Figure{Speed: speed(name), SD: engine.RPM(rapid.SampledFrom([]float64{10, 500}).Draw(t, name+" sd"))}
		}
		var s pass.Summary
		for range rapid.IntRange(1, 3).Draw(t, "plateaus") {
			s.Plateaus = append(s.Plateaus, pass.TopEnd{
				Sustained: figure("held"), Brief: figure("brief"), To: 3, FourStroking: 1, FiringFor: 3, ToldShare: 1, UnloadedFor: 3, Confidence: 1,
			})
		}
		s.TopEnd = &s.Plateaus[0]
		s.Evidence = pass.Evidence{
			ToldFor: 5, Fastest: figure("fastest"), LowerBound: pass.Bound{Speed: speed("least")},
			UpperBound: pass.Bound{Speed: speed("most")}, WeakUpperBound: pass.Bound{Speed: speed("weak")},
		}
		v := Judge(s, saw(limit), quality.Quality{}, Default())
		if !v.Code.safe() {
			return
		}
		e := s.Evidence
		all := []engine.RPM{e.Fastest.Speed + 2*e.Fastest.SD, e.LowerBound.Speed, e.UpperBound.Speed, e.WeakUpperBound.Speed}
		for _, p := range s.Plateaus {
			all = append(all, p.Sustained.Speed+2*p.Sustained.SD, p.Brief.Speed)
		}
		for _, v := range all {
			if !(v < limit) {
				t.Errorf("safe with %v in %+v", v, s)
			}
		}
	})
}

// A speed is never said to be on the wrong side of another.
func TestMargins(t *testing.T) {
	for _, tt := range []struct {
		speed engine.RPM
		want  string
	}{
		{12500, "1,000 rpm under the limit of 13,500 rpm"},
		{14500, "1,000 rpm over the limit of 13,500 rpm"},
		{13500, "just over the limit of 13,500 rpm"},
	} {
		f := &facts{limits: engine.Limits{Max: 13500}, top: &pass.TopEnd{Sustained: pass.Figure{Speed: tt.speed}}}
		if got := f.margin(); got != tt.want {
			t.Errorf("%v: %q, want %q", tt.speed, got, tt.want)
		}
	}
	if got := rpm(-1234); got != "-1,230 rpm" {
		t.Errorf("-1234 rpm is written %q", got)
	}
}

// TestDullSound: where a sound ends far below what its rate can hold, a top more than
// a tenth under the limit may be that of slow motion, and is not called safe.
func TestDullSound(t *testing.T) {
	for _, c := range []struct {
		dull  bool
		limit engine.RPM
		safe  bool
	}{{false, 14700, true}, {true, 14700, false}, {true, 13500, true}} {
		track := opened(1, 12500).Fires(2).Hold(3, 12500).Build()
		q := saw(c.limit)
		if v := Judge(pass.Summarise(track, nil, q, pass.Default()), q, quality.Quality{Dull: c.dull}, Default()); v.Code.safe() != c.safe {
			t.Errorf("dull %v, limit %.0f: %s: %s", c.dull, float64(c.limit), v.Code, v.Says)
		}
	}
}

// TestOutrun: what four-strokes at part throttle says nothing of a faster run, however
// short that was. Long enough, the faster run is judged itself.
func TestOutrun(t *testing.T) {
	for _, c := range []struct {
		slow   engine.RPM
		length engine.Seconds
		want   Code
		says   string
	}{
		{9500, 0.6, NotEnough, "it ran at 13,2"},
		{10900, 0.8, NotEnough, "it ran at 13,2"},
		{12500, 0.6, NotEnough, "it ran at 13,2"},
		{10900, 2, CleanBelowLimit, "13,2"},
		{13100, 0.6, FourStroking, "13,1"}, // as fast as far as can be told
	} {
		track := opened(1, c.slow).Fires(2).Hold(2.5, c.slow)
		track = letGo(letGo(track, c.slow).Ramp(0.4, 2800, 13200).Hold(c.length, 13200), 13200)
		if v := judge(track.Build(), saw(13500)); v.Code != c.want || !strings.Contains(v.Says, c.says) {
			t.Errorf("%.0f rpm, then 13,200 for %v s: %s: %s", float64(c.slow), c.length, v.Code, v.Says)
		}
		if v := judge(track.Build(), saw(0)); v.Code != NoLimit || (c.want == NotEnough) != strings.Contains(v.Says, "It also ran at 13,2") {
			t.Errorf("%.0f rpm, then 13,200 for %v s, without a limit: %s: %s", float64(c.slow), c.length, v.Code, v.Says)
		}
	}
}

// TestOutrunBesideFaster: of three runs the last is under judgement, the second may have
// been faster than that and was too short, and the first, which counts, is named as well.
func TestOutrunBesideFaster(t *testing.T) {
	track := passtest.New(0).Hold(1, 2800).Fires(1).Noise(0.002, 0.002).Ramp(0.4, 2800, 7430).
		Noise(0.001, 0.0005).Fires(2).Hold(1, 7430).Other(2, 0.25).Fires(0).Quiet(0.6).Hold(0.234375, 7430).
		Fires(1).Noise(0.002, 0.002).Ramp(0.8, 7430, 2800).Hold(1, 2800).
		Ramp(0.4, 2800, 7000).Noise(0.001, 0.0005).Fires(0).Quiet(0.6).Fires(2).Hold(1, 7000).Fires(0).Hold(0.25, 4900).
		Fires(1).Noise(0.002, 0.002).Ramp(0.8, 7000, 2800).Hold(1, 2800)
	v := judge(track.Build(), saw(8192))
	for _, says := range []string{"it four-strokes at 7,0", "too short a time to tell", "The top speed, 7,4"} {
		if v.Code != NotEnough || !strings.Contains(v.Says, says) {
			t.Errorf("%q is missing: %s: %s", says, v.Code, v.Says)
		}
	}
}

// TestOutrunWithoutIdle: without an idle as well, what counts is the faster run. What runs
// clean at part throttle is not said to four-stroke.
func TestOutrunWithoutIdle(t *testing.T) {
	stratified := saw(13500)
	stratified.Build.Charge = engine.Stratified
	for _, c := range []struct {
		fires shaft.Firing
		query engine.Machine
		says  string
	}{{2, saw(13500), "it four-strokes at 9,3"}, {2, stratified, "it four-strokes at 9,3"}, {1, stratified, "it holds 12,0"}} {
		slow := engine.RPM(9300)
		if c.fires == 1 {
			slow = 12000
		}
		track := passtest.New(1).Fires(c.fires).Hold(2.5, slow).Fires(1).Ramp(0.5, slow, 4000).Ramp(0.4, 4000, 13200).Hold(0.6, 13200)
		if v := judge(track.Build(), c.query); v.Code != NotEnough || !strings.Contains(v.Says, c.says) || !strings.Contains(v.Says, "it ran at 13,2") {
			t.Errorf("%v at %v, then 13,200 for a moment: %s: %s", c.fires, slow, v.Code, v.Says)
		}
		if v := judge(track.Build(), c.query); strings.Contains(v.Says, "four-strokes") != (c.fires == 2) {
			t.Errorf("fires every %d: %s", c.fires, v.Says)
		}
	}
}

// TestSlowBesideFast: a run at part throttle does not say that the limit is not that of
// the machine, where another reaches near it.
func TestSlowBesideFast(t *testing.T) {
	track := letGo(opened(1, 13500).Fires(2).Hold(2.5, 13500), 13500)
	track = letGo(track.Ramp(0.4, 2800, 8000).Fires(2).Hold(2.5, 8000), 8000)
	if v := judge(track.Build(), saw(15000)); v.Code != FourStroking {
		t.Errorf("%s: %s", v.Code, v.Says)
	}
	if v := judge(track.Build(), saw(16200)); v.Code.Danger() > RichInCut.Danger() {
		t.Errorf("%s: %s", v.Code, v.Says)
	}
}

// TestShortOf: no length is written as that which it falls short of.
func TestShortOf(t *testing.T) {
	for length, want := range map[engine.Seconds]string{0.46: "0.5 s only", 0.94: "0.9 s only", 0.96: "just under 1.0 s"} {
		if got := shortOf(length, 1); got != want {
			t.Errorf("%v s of 1 s: %q, want %q", length, got, want)
		}
	}
}

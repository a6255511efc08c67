package pass_test

import (
	"math"
	"testing"

	"topnote/internal/binom"
	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/shaft"
)

// within reports an error unless got is want give or take off.
func within(t *testing.T, what string, got, want, off float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > off {
		t.Errorf("%s is %.4g, want %.4g give or take %.2g", what, got, want, off)
	}
}

func TestSustained(t *testing.T) {
	t.Parallel()
	quiet := func() *passtest.Track { return passtest.New(1).Noise(0, 0.001) }
	tests := []struct {
		name  string
		track *passtest.Track
		want  float64
		off   float64
		why   string
	}{
		{"steady", quiet().Hold(3, 12000), 12000, 1, "known"},
		{"a spike of 0.3 s is not held", quiet().Hold(2, 12000).Hold(0.3, 13000).Hold(2, 12000), 12000, 12000 * 0.016,
			"at most the band above what is held"},
		{"0.6 s higher is held", quiet().Hold(2, 12000).Hold(0.6, 12900).Hold(2, 12000), 12900, 1, "longer than 0.5 s"},
		{"0.6 s higher, wherever it comes", quiet().Hold(0.6, 12900).Hold(4, 12000), 12900, 1, "longer than 0.5 s"},
		{"a slow climb", quiet().Ramp(3, 12000, 12600), 12600 - 600*0.25/3, 10, "middle of the last half second"},
		{"a steep climb never held its end", quiet().Hold(1, 8000).Ramp(0.5, 8000, 13000).Ramp(0.5, 13000, 8000), 10700, 700,
			"four fifths of half a second lie above 10,600"},
		{"gaps do not count as slow", quiet().Hold(0.4, 12000).Quiet(0.1).Hold(0.4, 12000), 12000, 1, "known"},
		{"nor do wrong readings", quiet().Hold(1, 12000).Hold(0.1, 24000).Hold(0.4, 12000).Hold(0.1, 6000).Hold(1, 12000), 12000, 1, "known"},
		{"noise lifts it a little, never lowers it", passtest.New(1).Noise(0.005, 0.005).Hold(5, 12000), 12030, 30, "highest of many medians"},
		{"surging: what four fifths of the time reach", quiet().Swing(5, 12000, 1000, 0.5), 11772, 20,
			"sine: a fifth of the time lies below mean - 0.809 x 500 = 11,595; over 0.985"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := summarise(tt.track)
			within(t, "sustained", float64(s.Evidence.Fastest.Speed), tt.want, tt.off)
			if s.TopEnd == nil || s.TopEnd.Sustained.Speed < s.Evidence.Fastest.Speed {
				t.Errorf("the top end does not hold the fastest half second: %+v", s.TopEnd)
			}
		})
	}
}

// TestSustainedDeviationIsHonest: the standard deviation covers errors that
// neighbouring readings share. 95 % must be within two deviations, as far as 200 passes
// can tell, whether errors last for one reading, five or twenty.
func TestSustainedDeviationIsHonest(t *testing.T) {
	t.Parallel()
	for _, memory := range []float64{0, 0.8, 0.95} {
		const runs = 200
		inside, width := 0, 0.0
		for seed := range uint64(runs) {
			s := summarise(passtest.New(seed).Noise(0.004, 0.004).Memory(memory).Hold(2, 12500))
			f := s.TopEnd.Sustained
			if math.Abs(float64(f.Speed-12500)) <= 2*float64(f.SD) {
				inside++
			}
			width += float64(f.SD) / runs
		}
		if least := binom.Min(runs, 0.95); inside < least {
			t.Errorf("memory %.2f: %d of %d inside two deviations (of %.0f rpm); %d would fit 95 %%", memory, inside, runs, width, least)
		}
		if width > 0.008*12500 {
			t.Errorf("memory %.2f: a deviation of %.0f rpm is more than twice that of one reading", memory, width)
		}
	}
}

func TestTopEnd(t *testing.T) {
	t.Parallel()
	top := summarise(passtest.New(1).Hold(1, 2800).Ramp(0.4, 2800, 13200).Fires(2, 2, 3, 2, 0).Hold(0.3, 13200).Hold(3, 12600)).TopEnd
	if top == nil {
		t.Fatal("no top end")
	}
	within(t, "peak", float64(top.Peak.Speed), 13250, 50)
	within(t, "overshoot", float64(top.Overshoot.Speed), 600, 60)
	within(t, "four-stroking", top.FourStroking, 0.8, 0.03)
	within(t, "every third", top.Firing[3], 0.2, 0.03)
	within(t, "not told", top.Firing[0], 0.2, 0.03)
	within(t, "clean", top.Clean, 0, 0.03)
	four, told := top.Mixture()
	within(t, "four-stroking among the told", four, 1, 0.03)
	within(t, "told", told, 0.8, 0.03)
	within(t, "heard for", float64(top.UnloadedFor), 3.4, 0.15)
	if top.Drift == nil || math.Abs(top.Drift.PerSecond) > 3*top.Drift.SD+1 {
		t.Errorf("a drift of %+v at a steady speed", top.Drift)
	}
	if top.Surge != nil || top.Stutter != nil || len(top.Alternatives) > 0 {
		t.Errorf("surge %v, stutter %v, others %v at a steady speed", top.Surge, top.Stutter, top.Alternatives)
	}
}

// TestFourStrokingUntold: where no firing was told it may four-stroke or not, so the
// deviation of the share grows with the time that is not told.
func TestFourStrokingUntold(t *testing.T) {
	t.Parallel()
	for share, pattern := range map[float64][]shaft.Firing{0: {1}, 0.5: {1, 0}, 1: {0}} {
		top := summarise(passtest.New(1).Hold(1, 2800).Ramp(0.4, 2800, 12600).Fires(pattern...).Hold(4, 12600)).TopEnd
		within(t, "not told", top.Firing[0], share, 0.03)
		if 2*top.FourStrokingSD < share || top.FourStrokingSD > share/2+0.15 {
			t.Errorf("%.0f %% not told: a deviation of %.3f", 100*share, top.FourStrokingSD)
		}
	}
}

// TestMostlyFour: the probability of four-stroking follows the evidence of the points,
// is no surer of a longer pass, and of no evidence is that of the four states in six
// that miss firings.
func TestMostlyFour(t *testing.T) {
	t.Parallel()
	give := func(evidence float64, d engine.Seconds, spec engine.Spec) float64 {
		b := passtest.New(1).Hold(1, 2800).Ramp(0.4, 2800, 12600).Hold(d, 12600)
		b.Each(func(_ int, p *shaft.Point) { p.MissEvidence = evidence })
		return pass.Summarise(b.Build(), nil, engine.Machine{Spec: spec}, pass.Default()).TopEnd.MostlyFour
	}
	const most, none = 0.975, 0.05/2 + 0.95*2/3 // surest: misled 1 time in 20, half of it to the other side
	for _, d := range []engine.Seconds{2, 6} {
		within(t, "of four-stroking", give(2, d, engine.TwoStrokeSingle), most, 0.001)
		within(t, "of clean", give(-2, d, engine.TwoStrokeSingle), 1-most, 0.001)
		within(t, "of nothing", give(0, d, engine.TwoStrokeSingle), none, 0.001)
		within(t, "of odds of e over 0.3 s, and 2", give(1./15, d, engine.TwoStrokeSingle), 0.05/2+0.95*2*math.E/(1+2*math.E), 0.001)
	}
	if p := give(2, 2, engine.Spec{Strokes: 4, Cylinders: 1}); p != 0 {
		t.Errorf("a four-stroke engine four-strokes with %.2f", p)
	}
}

// A light load cleans up the firing and slows the engine a little; what is
// said of full throttle without load must not come from it.
func TestLightLoadDoesNotCount(t *testing.T) {
	t.Parallel()
	top := summarise(passtest.New(1).Fires(2).Hold(2, 12800).Ramp(0.2, 12800, 11750).Fires(1).Hold(3, 11750)).TopEnd
	within(t, "to", float64(top.To), 5.2, 0.05)
	within(t, "four-stroking", top.FourStroking, 1, 0.05)
	within(t, "heard for", float64(top.UnloadedFor), 2.1, 0.1)
	within(t, "clean for", float64(top.CleanFor()), 0, 0.01)
}

func TestNoOvershootWithoutRise(t *testing.T) {
	t.Parallel()
	top := summarise(passtest.New(1).Ramp(0.3, 13200, 12600).Hold(3, 12600)).TopEnd
	if top.Overshoot != (pass.Figure{}) {
		t.Errorf("overshoot %v where no rise was heard", top.Overshoot)
	}
}

func TestDrift(t *testing.T) {
	t.Parallel()
	for _, memory := range []float64{0, 0.8} {
		const runs, length, perSecond = 100, 4.0, 100.0
		inside := 0
		for seed := range uint64(runs) {
			s := summarise(passtest.New(seed).Noise(0.003, 0.003).Memory(memory).Ramp(length, 12000, 12000+length*perSecond))
			d := s.TopEnd.Drift
			if d == nil {
				t.Fatal("no drift")
			}
			if math.Abs(d.PerSecond-perSecond) <= 2*d.SD {
				inside++
			}
			within(t, "drift", d.PerSecond, perSecond, 60)
		}
		if least := binom.Min(runs, 0.95); inside < least {
			t.Errorf("memory %.1f: %d of %d drifts inside two deviations; %d would fit 95 %%", memory, inside, runs, least)
		}
	}
	if s := summarise(passtest.New(1).Hold(1.8, 12000)); s.TopEnd.Drift != nil {
		t.Errorf("a drift of %v over 1.8 s", s.TopEnd.Drift)
	}
}

func TestSwings(t *testing.T) {
	t.Parallel()
	for _, period := range []engine.Seconds{0.3, 0.7, 1.3} {
		s := summarise(passtest.New(3).Noise(0.003, 0.003).Swing(5, 2800, 400, period))
		h := s.Idle.Hunting
		if h == nil {
			t.Errorf("no hunting heard at a period of %v", period)
			continue
		}
		within(t, "period", float64(h.Period), float64(period), 0.03*float64(period))
		within(t, "depth", float64(h.Depth), 400, 60)

		s = summarise(passtest.New(4).Noise(0.003, 0.003).Swing(5, 12500, 600, period))
		if h = s.TopEnd.Surge; h == nil {
			t.Errorf("no surging heard at a period of %v", period)
			continue
		}
		within(t, "period", float64(h.Period), float64(period), 0.03*float64(period))
		within(t, "depth", float64(h.Depth), 600, 90)
	}
}

// TestWanderIsNoSwing: noise that lasts from point to point wanders, but does not
// swing. By chance it does look so, in one idle of a hundred at most, and never by
// enough to be told.
func TestWanderIsNoSwing(t *testing.T) {
	t.Parallel()
	const idles, rare, toldFrom = 100, 0.01, 0.08 // toldFrom: of idle, as verdict.Default has it
	found := 0
	for seed := range uint64(idles) {
		h := summarise(passtest.New(seed).Noise(0.01, 0.01).Memory(0.9).Hold(5, 2800)).Idle.Hunting
		if h == nil {
			continue
		}
		found++
		if h.Depth >= toldFrom*2800 {
			t.Errorf("seed %d: noise passes for hunting %+v", seed, h)
		}
	}
	if most := binom.Max(idles, rare); found > most {
		t.Errorf("noise passes for hunting in %d of %d idles; %d would fit 1 %%", found, idles, most)
	}
}

func TestIdle(t *testing.T) {
	t.Parallel()
	s := summarise(passtest.New(1).Noise(0.02, 0.01).Hold(4, 3100).Ramp(0.4, 3100, 12500).Hold(2, 12500).Ramp(0.7, 12500, 3100).Hold(2, 3100))
	f := s.Idle
	within(t, "idle", float64(f.Speed.Speed), 3100, 15)
	within(t, "spread", float64(f.Spread), 1.645*0.02*3100, 15) // 90 % of a normal distribution lie within 1.645 deviations
	within(t, "above entered", float64(f.AboveEntered), 300, 15)
	within(t, "under clutch", float64(f.UnderClutch.Speed), 700, 60)
	within(t, "clutch ratio", f.ClutchRatio, 3800.0/3100, 0.01)
	if f.Hunting != nil || f.Drift == nil || math.Abs(f.Drift.PerSecond) > 3*f.Drift.SD {
		t.Errorf("hunting %v, drift %v of a steady idle", f.Hunting, f.Drift)
	}

	q := engine.Machine{Spec: engine.TwoStrokeSingle}
	if f = pass.Summarise(whole(1).Build(), nil, q, pass.Default()).Idle; f.UnderClutch != nil || f.AboveEntered != 0 || f.ClutchRatio != 0 {
		t.Errorf("margins %+v to speeds that nobody entered", f)
	}
}

// What the chain gets to feel is the highest idle of the clip, not the longest.
func TestHighestIdle(t *testing.T) {
	t.Parallel()
	s := summarise(passtest.New(1).Hold(4, 2800).Ramp(0.4, 2800, 12500).Hold(2, 12500).Ramp(0.7, 12500, 4000).Hold(2, 4000))
	within(t, "idle", float64(s.Idle.Speed.Speed), 2800, 10)
	within(t, "highest", float64(s.Idle.Highest.Speed), 4000, 30)
	if s.Fall.Back {
		t.Error("it is said to be back at idle at 4,000 rpm")
	}
	within(t, "hang", float64(s.Fall.HangFor.Time), 2, 0.15)
	within(t, "hangs at", float64(s.Fall.HangSpeed), 4000, 30)
}

func TestRise(t *testing.T) {
	t.Parallel()
	// From 5 % of the way (3,300 rpm) to 90 % of 12,500, evenly in the log.
	full := math.Log(12500.0 / 2800)
	part := math.Log(0.9*12500/(2800+0.05*(12500-2800))) / full
	for _, d := range []engine.Seconds{0.3, 0.6, 1.2, 2.4} {
		f := summarise(passtest.New(1).Hold(2, 2800).Ramp(d, 2800, 12500).Hold(2, 12500)).Rise
		if f == nil {
			t.Fatalf("no rise of %v s", d)
		}
		within(t, "rise", float64(f.Time.Time), part*float64(d), 0.05)
		within(t, "sag", float64(f.Sag.Speed), 0, 40)
	}
	// The quickest counts: a slow hand makes any engine slow.
	two := passtest.New(2).Hold(1, 2800).Ramp(2, 2800, 12500).Hold(1, 12500).Ramp(0.7, 12500, 2800).Hold(1.5, 2800).Ramp(0.4, 2800, 12500).Hold(1, 12500)
	within(t, "rise", float64(summarise(two).Rise.Time.Time), part*0.4, 0.05)
	if f := summarise(passtest.New(3).Ramp(0.4, 2800, 12500).Hold(2, 12500)).Rise; f != nil {
		t.Errorf("a rise %+v without an idle before it", f)
	}
}

func TestSag(t *testing.T) {
	t.Parallel()
	below := passtest.New(1).Hold(2, 2800).Ramp(0.15, 2800, 2000).Ramp(0.15, 2000, 2800).Ramp(0.5, 2800, 12500).Hold(2, 12500)
	f := summarise(below).Rise
	within(t, "sag below idle", float64(f.Sag.Speed), 800, 120)
	within(t, "rise with its sag", float64(f.Time.Time), 0.3+0.43, 0.12)

	during := passtest.New(2).Hold(2, 2800).Ramp(0.4, 2800, 6000).Ramp(0.4, 6000, 4500).Ramp(0.4, 4500, 12500).Hold(2, 12500)
	within(t, "sag during the climb, its edges smoothed off", float64(summarise(during).Rise.Sag.Speed), 1300, 250)

	hunting := passtest.New(3).Swing(3, 2800, 400, 0.8).Ramp(0.4, 2800, 12500).Hold(2, 12500)
	if sag := summarise(hunting).Rise.Sag; sag.Speed > 60 {
		t.Errorf("an idle that hunts by as much passes for a sag of %v", sag)
	}
}

func TestFall(t *testing.T) {
	t.Parallel()
	whole := math.Log(12500.0 / 2800)
	part := math.Log(0.9*12500/(1.12*2800)) / whole
	f := summarise(passtest.New(1).Hold(2, 2800).Ramp(0.4, 2800, 12500).Hold(2, 12500).Ramp(1, 12500, 2800).Hold(2, 2800)).Fall
	within(t, "fall", float64(f.Time.Time), part, 0.06)
	within(t, "idle", float64(f.Idle), 2800, 30)
	if !f.Back {
		t.Error("not back at idle")
	}
	f = summarise(passtest.New(2).Hold(2, 2800).Ramp(0.4, 2800, 12500).Hold(2, 12500).Ramp(0.7, 12500, 3900).Hold(1.5, 3900).Ramp(0.5, 3900, 2800).Hold(2, 2800)).Fall
	within(t, "hang", float64(f.HangFor.Time), 2, 0.25)
	within(t, "hangs at", float64(f.HangSpeed), 3900, 60)
	if !f.Back {
		t.Error("not back at idle")
	}
	if f := summarise(passtest.New(3).Hold(2, 2800).Ramp(0.4, 2800, 12500).Hold(2, 12500)).Fall; f != nil {
		t.Errorf("a fall %+v that was not heard", f)
	}
}

func TestCut(t *testing.T) {
	t.Parallel()
	c := summarise(whole(1)).Cut
	within(t, "speed", float64(c.Speed.Speed), 9000, 30)
	within(t, "pulled", c.Pulled, 1-9000.0/13000, 0.01)
	within(t, "clean", c.Clean, 1, 0.03)
	within(t, "back", float64(c.Recovery.Time), 0.2*math.Log(0.95*12900/9000)/math.Log(12900.0/9000), 0.06)

	rich := summarise(passtest.New(2).Fires(2).Hold(2, 12500).Ramp(0.3, 12500, 9500).Hold(2, 9500)).Cut
	within(t, "four-stroking", rich.FourStroking, 1, 0.01)
	if rich.Recovery != nil {
		t.Errorf("it came back in %v, which was not heard", rich.Recovery)
	}
	if c := summarise(passtest.New(3).Hold(4, 9500)).Cut; c != nil {
		t.Errorf("a cut %+v with nothing to hold it against", c)
	}
}

func TestOthers(t *testing.T) {
	t.Parallel()
	s := summarise(passtest.New(1).Hold(1, 6250).Hold(1, 6250).Other(2, 0.4).Hold(0.5, 6250).Other(0.5, 0.05))
	if len(s.TopEnd.Alternatives) != 1 {
		t.Fatalf("others %v, want the double alone: the half has 1 %% of the belief", s.TopEnd.Alternatives)
	}
	within(t, "other", float64(s.TopEnd.Alternatives[0].Speed), 12500, 60)
	within(t, "share", s.TopEnd.Alternatives[0].Share, 0.4/2.5, 0.01)
}

// TestStray: what was taken back counts where it was held for half a second, and a
// second reading of what is told is none of it.
func TestStray(t *testing.T) {
	t.Parallel()
	track := passtest.New(1).Hold(2, 12500).Other(2, 0.4).Quiet(1).Hold(2, 2800).Build()
	taken := func(from, points int, speed engine.RPM) {
		for i := from; i < from+points; i++ {
			track.Points[i] = shaft.Point{At: track.Points[i].At, Alternative: speed, AlternativeShare: 0.9}
		}
	}
	stray := func() pass.Bound {
		return pass.Summarise(track, nil, engine.Machine{Spec: engine.TwoStrokeSingle}, pass.Default()).Evidence.Stray
	}
	if b := stray(); b != (pass.Bound{}) {
		t.Errorf("%v was taken back where nothing was", b)
	}
	taken(105, 20, 15000)
	if b := stray(); b != (pass.Bound{}) {
		t.Errorf("%v was taken back in 0.4 s", b)
	}
	taken(125, 5, 14000)
	if b := stray(); b.Speed != 14000 || b.At != track.Points[105].At {
		t.Errorf("%v, want 14,000 rpm from point 105", b)
	}
}

func TestEvidence(t *testing.T) {
	t.Parallel()
	e := summarise(passtest.New(1).Quiet(1).Hold(1, 12500).Quiet(0.5).Hold(1.5, 12500).Quiet(1)).Evidence
	within(t, "heard", float64(e.ToldFor), 2.5, 0.01)
	within(t, "told", e.ToldShare, 2.5/3, 0.01)
	within(t, "surely", float64(e.LowerBound.Speed), 12500, 70)
	within(t, "perhaps", float64(e.UpperBound.Speed), 12590, 60)
	if e.WeakUpperBound.Speed != 0 || len(e.Jumps) != 0 {
		t.Errorf("doubt %v and %d jumps in a firm track", e.WeakUpperBound, len(e.Jumps))
	}
	e = summarise(passtest.New(2).Noise(0.01, 0.08).Hold(2, 12500)).Evidence
	within(t, "deviation of readings that may err by 8 %", float64(e.Fastest.SD), 0.08*12500, 30)
	if e.UpperBound.Speed != 0 {
		t.Errorf("readings that may err by 8 %% are firm up to %v", e.UpperBound)
	}
	within(t, "doubtful", float64(e.WeakUpperBound.Speed), 12500*1.16, 250)
	if e = summarise(passtest.New(3).Hold(2, 6500).Hold(2, 13000)).Evidence; len(e.Jumps) != 1 {
		t.Errorf("%d jumps, want the leap to the double to count", len(e.Jumps))
	}
	// What is unsure because it is about to leap to a wrong reading is not held.
	e = summarise(passtest.New(4).Hold(2, 12500).Noise(0.002, 0.15).Hold(0.2, 12500).Hold(0.26, 3000).Noise(0.002, 0.002).Hold(2, 3000)).Evidence
	if len(e.Jumps) != 1 || e.WeakUpperBound.Speed > 12500 || e.UpperBound.Speed > 12700 {
		t.Errorf("before a leap: %d jumps, doubtful up to %.0f, perhaps %.0f rpm", len(e.Jumps), e.WeakUpperBound.Speed, e.UpperBound.Speed)
	}
}

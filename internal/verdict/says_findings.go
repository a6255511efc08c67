package verdict

import (
	"fmt"
	"math"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// The sentence of each finding.

// scaled turns a share into something that a speed can be multiplied with.
func scaled(share float64) engine.RPM { return engine.RPM(share) }

// steadily reports whether the top speed changes by at least a share of itself
// in a second, beyond what chance does, while nothing else explains it.
func (f *facts) steadily(least float64, sign float64) bool {
	if f.TopEnd == nil || f.TopEnd.Drift == nil || f.TopEnd.UnloadedFor < f.opt.DriftFor {
		return false
	}
	// Next to a cut the speed is on its way into the wood or out of it.
	if c := f.Cut; c != nil && (c.From == f.TopEnd.To || c.To == f.TopEnd.From) {
		return false
	}
	d := f.TopEnd.Drift
	change := sign * d.PerSecond
	return change >= least*float64(f.TopEnd.Sustained.Speed) && change >= f.opt.SignificantSD*d.SD
}

func (f *facts) climbs() bool { return f.steadily(f.opt.MinClimb, 1) }
func (f *facts) sinks() bool  { return f.steadily(f.opt.MinSink, -1) }

// gearboxWarms reports whether it is a hedge trimmer whose gearbox may have been cold.
func (f *facts) gearboxWarms() bool {
	return f.build.Kind == engine.HedgeTrimmer && f.state.Warm != engine.Yes
}

// surges reports whether the top speed swells and fades by itself.
func surges(f *facts) bool {
	return f.TopEnd != nil && f.TopEnd.Surge != nil && f.TopEnd.Surge.Depth >= f.TopEnd.Sustained.Speed*scaled(f.opt.MinSurge)
}

// chainDriven reports whether the idle reaches the clutch engagement speed, or
// comes so near that it cannot be told.
func (f *facts) chainDriven() bool {
	if f.Idle == nil || f.Idle.UnderClutch == nil || f.doesNotReturn() {
		return false // an engine that does not come back has no idle to speak of
	}
	return f.Idle.UnderClutch.Speed <= engine.CoverageFactor*f.Idle.UnderClutch.SD
}

// doesNotReturn reports whether the speed was still far above idle long after the
// throttle was let go.
func (f *facts) doesNotReturn() bool {
	return f.Fall != nil && !f.Fall.Back && f.Fall.Time.Time >= f.opt.NoReturn &&
		f.Fall.Last >= f.Fall.Idle*scaled(f.opt.NoReturnAt)
}

// hangs reports whether the last bit of a fall took longer than all before it.
func (f *facts) hangs() bool {
	if f.Fall == nil {
		return false
	}
	hang := f.Fall.HangFor.Time
	return hang >= f.opt.MinHang && hang >= f.Fall.Time.Time-hang
}

// runsOn reports whether it hangs where the clutch drives the chain.
func (f *facts) runsOn() bool {
	return f.hangs() && f.limits.Clutch.Told() && f.Fall.HangSpeed >= f.limits.Clutch
}

func saysNoReturn(f *facts) string {
	return fmt.Sprintf("It does not come back to idle: after release at %s it still ran at %s at %s, over its idle of %s.",
		engine.FormatSeconds(f.Fall.From), rpm(f.Fall.Last), engine.FormatSeconds(f.Fall.To), rpm(f.Fall.Idle))
}

func saysChain(f *facts) string {
	if f.Idle.UnderClutch.Speed <= 0 {
		return fmt.Sprintf("The %s is driven at idle: the idle reaches %s, %s the speed at which the clutch engages.",
			f.words().moves, figure(f.Idle.Highest), apart(f.Idle.Highest.Speed, f.limits.Clutch, "under", "over"))
	}
	return fmt.Sprintf("The %s may be driven at idle: the idle reaches %s, too close to the %s at which the clutch engages to tell below from above.",
		f.words().moves, figure(f.Idle.Highest), entered(f.limits.Clutch))
}

func saysTouched(f *facts) string {
	return fmt.Sprintf("A single reading touched %s, over %s, between %s and %s.",
		figure(f.TopEnd.Peak), f.ceilingWords(), engine.FormatSeconds(f.TopEnd.From), engine.FormatSeconds(f.TopEnd.To))
}

// drift gives the change of the top speed in a second.
func (f *facts) drift() string {
	d := f.TopEnd.Drift
	return figure(pass.Figure{Speed: engine.RPM(math.Abs(d.PerSecond)), SD: engine.RPM(d.SD)})
}

func saysClimbs(f *facts) string {
	return fmt.Sprintf("At full throttle, where the speed should stand still, it climbs by %s every second, %s.", f.drift(), timeSpan(f.TopEnd.From, f.TopEnd.To))
}

func saysSinks(f *facts) string {
	return fmt.Sprintf("At full throttle, where the speed should stand still, it falls by %s every second, %s.", f.drift(), timeSpan(f.TopEnd.From, f.TopEnd.To))
}

func saysRunsOn(f *facts) string {
	return fmt.Sprintf("The %s runs on: after release at %s the engine stayed at about %s for %s, and the clutch engages at %s.",
		f.words().moves, engine.FormatSeconds(f.Fall.From), rpm(f.Fall.HangSpeed), engine.FormatSeconds(f.Fall.HangFor.Time), entered(f.limits.Clutch))
}

func saysHangs(f *facts) string {
	return fmt.Sprintf("It hangs above idle: after release at %s it stayed at about %s for %s before it came near its idle of %s.",
		engine.FormatSeconds(f.Fall.From), rpm(f.Fall.HangSpeed), engine.FormatSeconds(f.Fall.HangFor.Time), rpm(f.Fall.Idle))
}

func saysSags(f *facts) string {
	return fmt.Sprintf("It bogs on opening: at %s the speed fell back by %s.", engine.FormatSeconds(f.Rise.SagAt), rpm(f.Rise.Sag.Speed))
}

func saysSurges(f *facts) string {
	s := f.TopEnd.Surge
	return fmt.Sprintf("It surges at full throttle: up and down by %s, every %s.", figure(depth(s)), engine.FormatSeconds(s.Period))
}

func saysNearClutch(f *facts) string {
	return fmt.Sprintf("The idle of %s is too near the clutch, which engages at %s, only %s above it; a quarter is common practice.",
		rpm(f.Idle.Speed.Speed), entered(f.limits.Clutch), engine.FormatShare(f.Idle.ClutchRatio-1))
}

func saysSlowRise(f *facts) string {
	time, top := engine.FormatSeconds(f.Rise.Time.Time), rpm(f.Rise.Top)
	if f.Rise.FourStroking >= f.opt.Mostly && !f.fourStroke {
		return fmt.Sprintf("It is slow to rise, and four-strokes on the way: %s from idle to 90 %% of %s.", time, top)
	}
	return fmt.Sprintf("It is slow to rise: %s from idle to 90 %% of %s.", time, top)
}

func saysSlowBack(f *facts) string {
	return fmt.Sprintf("It is slow to recover: %s from %s in the cut back to its top speed.", engine.FormatSeconds(f.Cut.Recovery.Time), rpm(f.Cut.Speed.Speed))
}

func saysPartlyRich(f *facts) string {
	four, _ := f.cutFiring()
	return fmt.Sprintf("In the cut it still four-strokes %s of the time, %s.", engine.FormatShare(four), timeSpan(f.Cut.From, f.Cut.To))
}

func saysHunts(f *facts) string {
	h := f.Idle.Hunting
	return fmt.Sprintf("The idle hunts: up and down by %s, every %s, around %s.", figure(depth(h)), engine.FormatSeconds(h.Period), rpm(f.Idle.Speed.Speed))
}

func depth(s *pass.Oscillation) pass.Figure { return pass.Figure{Speed: s.Depth, SD: s.DepthSD} }

func saysUnsteady(f *facts) string {
	return fmt.Sprintf("The idle is unsteady: 90 %% of it is within ± %s of %s.", rpm(f.Idle.Spread), rpm(f.Idle.Speed.Speed))
}

func saysIdleOff(f *facts) string {
	return fmt.Sprintf("The idle of %s is %s the idle speed of %s that was entered.",
		figure(f.Idle.Speed), apart(f.Idle.Speed.Speed, f.limits.Idle, "below", "above"), entered(f.limits.Idle))
}

func saysLeaps(f *facts) string {
	if n := len(f.Evidence.Jumps); n > 1 {
		return fmt.Sprintf("The reading jumps further than a shaft can, %d times.", n)
	}
	return "The reading jumps once further than a shaft can."
}

func saysMilder(f *facts) string {
	g := f.milder()
	return fmt.Sprintf("Another run in it sounds better: %s it holds %s (%s). The verdict is that of the worst.",
		g.heldWhen(), rpm(g.top.Sustained.Speed), g.rule().code)
}

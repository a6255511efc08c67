package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/synth"
)

// Simulated fleet: every kind of machine with every cause that it can have.
//
// What the program believes of a cause, its table of shares, is nowhere in here. A
// cause does something physical: it shifts the mixture at full throttle and at idle,
// takes power or adds drag, lets air in at idle, or fails to keep up the fuel when it
// runs long. Speed and firing follow by the model of package synth, which knows its
// peak over mixture, so that past the peak comes by itself. Idle, rise, fall, cut and
// what would be found of them follow from the same shifts by coefficients that each
// machine has its own of; one machine in four does not show an idle, a hang, a bog or
// a sinking speed at all. On top of that come a thermometer and a reading that err,
// days whose air or screw was not noted, findings that mean nothing, notes that were
// forgotten, worded in many ways, or that have nothing to do with it. Histories in
// which nothing has changed that anybody would notice are drawn again: nobody asks why.

// effect is what a cause does to a machine at its worst.
type effect struct {
	lean     float64 // percent leaner at full throttle
	leanIdle float64 // percent leaner at idle
	idleAir  float64 // share by which air that leaks in raises the idle
	power    float64 // share of torque that is lost
	drag     float64 // share of drag that is added
	residual float64 // share of burnt gas that stays in addition
	misfire  float64 // share of firings that fail
	runsDry  float64 // probability that the fuel does not keep up when it runs long
	rough    float64 // probability that it hunts or runs unevenly
}

func (e effect) times(s float64) effect {
	for _, v := range []*float64{&e.lean, &e.leanIdle, &e.idleAir, &e.power, &e.drag, &e.residual, &e.misfire, &e.runsDry, &e.rough} {
		*v *= s
	}
	return e
}

// plan is how a cause comes about in a history.
type plan struct {
	effect effect
	course int      // grows, comes at once, or goes away at once after it had grown
	notes  []string // what people write of it
	filter bool     // into the field of the air filter
	noted  float64  // probability that they do
	stands float64  // probability that it stood for long before
}

const (
	grows = iota
	comes
	goes
	fades // is there from the beginning and goes slowly
)

// machine is a simulated machine over time.
type machine struct {
	*rand.Rand
	saw    synth.Saw
	build  engine.Build
	scale  float64 // of speeds, against those of a saw
	rich   float64
	perH   float64 // percent of mixture in a turn of H
	h      float64
	height float64
	limit  float64
	set    air.State
	firstH float64
	shows  struct{ idle, hang, dry, bog, climb bool }
	rise   float64 // s
	fall   float64 // s
	notes  float64 // probability that an unrelated note is written
	states float64 // probability that warm, choke and filter are answered
	cuts   bool
	day    float64
	coil   bool
	passes []book.Pass
	truth  []physical
}

// physical is what a pass was in truth: top speed, idle and share of four-stroking.
type physical struct{ top, idle, four float64 }

func (m *machine) between(a, b float64) float64 { return a + (b-a)*m.Float64() }
func (m *machine) chance(p float64) bool        { return m.Float64() < p }
func (m *machine) either() float64              { return float64(2*m.IntN(2) - 1) }

// newMachine draws a machine of a kind, set right or, for what begins lean, clean.
func newMachine(kind engine.Kind, seed uint64, lean bool) *machine {
	m := &machine{Rand: rand.New(rand.NewPCG(seed, 4711)), saw: synth.DrawSaw(seed ^ 0x5eed)}
	m.saw.Ceiling = 0
	m.build.Kind = kind
	m.build.Carburettor = []engine.Carburettor{engine.Screws, engine.Screws, engine.Screws, engine.Capped, engine.FixedJets, ""}[m.IntN(6)]
	m.build.FilterCompensated = []engine.Answer{engine.No, "", engine.Yes}[m.IntN(3)]
	m.build.Governor = engine.No
	m.rich = m.between(1.14, 1.24)
	switch kind {
	case engine.Saw:
		m.scale, m.cuts = m.between(0.95, 1.03), m.chance(0.5)
	case engine.CutOffSaw:
		m.scale, m.cuts = m.between(0.76, 0.84), m.chance(0.3)
	case engine.Trimmer, engine.BrushCutter:
		m.scale, m.saw.Drag = m.between(0.68, 0.82), m.saw.Drag*m.between(1, 1.15)
	case engine.HedgeTrimmer:
		m.scale, m.saw.Drag = m.between(0.68, 0.76), m.saw.Drag*m.between(1, 1.15)
	default: // fan, bit or impeller: always loaded
		m.scale, m.saw.Drag = m.between(0.68, 0.8), m.saw.Drag*m.between(3, 3.8)
	}
	if lean {
		m.rich = m.between(1.1, 1.16)
	}
	m.perH, m.height = m.between(14, 28), m.between(0, 900)
	m.h = math.Round(m.between(0.75, 1.75)*8) / 8
	m.limit = 100 * math.Round(m.scale*m.between(133, 138))
	m.shows.idle, m.shows.hang, m.shows.dry = m.chance(0.75), m.chance(0.75), m.chance(0.75)
	m.shows.bog, m.shows.climb = m.chance(0.6), m.chance(0.4)
	m.rise, m.fall = m.between(0.35, 0.8), m.between(0.6, 1.2)
	m.notes, m.states = m.between(0, 0.15), m.between(0, 1)
	m.day = m.between(0, 365)
	return m
}

// record makes a pass with an effect, as people and program would.
func (m *machine) record(e effect, state engine.State, filterNote, fuelNote string) {
	const year, coldest, mean, swing, daily = 365, 15, 10, 11, 4
	temp := mean - swing*math.Cos(2*math.Pi*(m.day-coldest)/year) + daily*m.NormFloat64()
	t := engine.Celsius(math.Round(min(38, max(-15, temp))))
	rh, height := engine.Percent(math.Round(m.between(40, 95))), engine.Metre(math.Round(m.height))
	reading := air.Reading{Temp: &t, RH: &rh, Altitude: &height}
	day, err := reading.Air(air.Default())
	if err != nil {
		panic(err)
	}
	truth := day.State
	truth.Temp += engine.Celsius(m.NormFloat64())
	truth.Pressure += engine.Pascal(800 * m.NormFloat64())
	if len(m.passes) == 0 {
		m.set, m.firstH = truth, m.h
	}
	e.lean += float64(air.MixtureShift(truth, m.set)) - m.perH*(m.h-m.firstH)
	h := book.Turns(m.h)
	p := book.Pass{
		Number: int64(len(m.passes) + 1), Machine: "machine", Recorded: time.Date(2026, 1, 1, 10, 0, 0, 0, time.UTC).Add(time.Duration(m.day * 24 * float64(time.Hour))),
		Report: m.report(e), Air: &reading, Screws: book.Screws{H: &h}, FilterNote: filterNote, FuelNote: fuelNote,
	}
	p.Report.State = state
	if m.chance(0.1) {
		p.Air = nil
	}
	if m.chance(0.1) || m.build.Carburettor == engine.FixedJets {
		p.Screws = book.Screws{}
	}
	if fuelNote == "" && m.chance(m.notes) {
		p.FuelNote = []string{"bar oil filled", "fresh mix", "new spark plug", "chain sharpened", "starter rope renewed", "ok", "fuel filter new", "1:50"}[m.IntN(8)]
	}
	m.passes = append(m.passes, p)
}

// report gives what a measurement would find.
func (m *machine) report(e effect) report.Report {
	saw := m.saw
	saw.Torque *= (1 - e.power) * (1 - e.misfire) * (1 + 0.004*m.NormFloat64())
	saw.Drag *= 1 + e.drag
	saw.Residual *= 1 + e.residual
	run := synth.Tune{Saw: saw, Richness: m.rich / (1 + e.lean/100), Seed: m.Uint64()}.Run()
	full, _ := run.Span(synth.FullThrottle)
	share := 0.0
	for every := 2; every <= 4; every++ {
		share += run.Share(every, full.From, full.To)
	}
	four := min(1, max(0, share+0.05*m.NormFloat64()))
	sd := m.between(20, 60) * m.scale
	real := m.scale * float64(run.Sustained(synth.SustainedFor))
	top := real + sd*m.NormFloat64()
	idle := m.scale * float64(saw.Idle) * (1 + e.idleAir*map[bool]float64{true: 1, false: 0.1}[m.shows.idle] + 0.004*min(6, max(-25, e.leanIdle)))
	m.truth = append(m.truth, physical{real, idle, share})
	idle *= 1 + 0.02*m.NormFloat64()
	hang := 0.0
	if m.shows.hang {
		hang = max(0, 0.12*(e.leanIdle-4)) * m.between(0.6, 1.4)
	}
	power := saw.Torque * (1 - square((m.rich/(1+e.lean/100)-1.12)/0.6)) // as the engine pulls
	r := report.Report{
		Schema: report.Schema, Clip: report.Clip{File: "pass.wav", SHA256: fmt.Sprintf("%064x", m.Uint64()), DurationS: 10},
		Engine: report.Engine{Strokes: 2, Cylinders: 1, Build: m.build}, Limits: report.Limits{MaxRPM: report.Speed(m.limit)},
		TopEnd: &report.TopEnd{SustainedRPM: report.Speed(top), SDRPM: sd, PeakRPM: report.Speed(top + 60), FromS: 3, ToS: 6, FourStrokingShare: four, CleanShare: 1 - four},
		Idle:   &report.Idle{RPM: report.Speed(idle), SDRPM: 25},
		Rise:   &report.Rise{TimeS: m.rise * math.Pow(power, -1.5) * (1 + 0.5*e.drag) * math.Exp(0.08*m.NormFloat64()), SDS: 0.03, IdleRPM: report.Speed(idle), TopRPM: report.Speed(top)},
		Fall:   &report.Fall{TimeS: m.fall/(1+e.drag)*math.Exp(0.08*m.NormFloat64()) + hang, SDS: 0.04, Back: true, HangS: hang},
	}
	if m.cuts && m.chance(0.7) {
		rich := 0.0
		if m.rich/(1+e.lean/100) > 1.36 {
			rich = m.between(0.5, 1)
		}
		r.Cut = &report.Cut{RPM: report.Speed(m.scale * 9300 * math.Pow(power, 0.9) * math.Exp(0.05*m.NormFloat64())), SDRPM: 60, FourStrokingShare: rich, CleanShare: 1 - rich}
	}
	r.Verdict = m.judge(r, e, hang)
	if m.chance(0.04) {
		r.Quality.Problems = []report.Problem{{Code: "wind", Says: "Wind."}}
	}
	return r
}

// judge gives the verdict and the findings, near enough, with some that mean nothing.
func (m *machine) judge(r report.Report, e effect, hang float64) report.Verdict {
	v := report.Verdict{Code: codeFourStroking, Cautions: []string{"The handbook comes first."}}
	top, sd := float64(r.TopEnd.SustainedRPM), r.TopEnd.SDRPM
	switch {
	case m.coil:
		v.Code = codeSpark
	case top-2*sd > m.limit:
		v.Code = codeOver
	case top+2*sd >= m.limit:
		v.Code = codeAt
	case !traitsOf(r.Engine).firingTells():
		v.Code = codeBelow
	case r.TopEnd.FourStrokingShare < 0.6:
		v.Code = codeClean
	case r.Cut != nil && r.Cut.FourStrokingShare > 0.5:
		v.Code = codeRichInCut
	}
	v.Says = "It is " + v.Code + "."
	const slip = 0.02
	for _, find := range []struct {
		code string
		yes  bool
	}{
		{findingHangs, hang >= 1},
		{findingClimbs, m.chance(slip) || m.shows.climb && e.leanIdle > 8 && m.chance(0.7)},
		{findingSinks, m.chance(slip) || m.shows.dry && m.chance(e.runsDry)},
		{findingHunts, m.chance(2*slip) || m.chance(e.rough) || math.Abs(e.leanIdle) > 10 && m.chance(0.3)},
		{findingSags, m.chance(slip) || m.shows.bog && (e.leanIdle > 6 || e.lean > 14) && m.chance(0.6)},
	} {
		if find.yes {
			v.Findings = append(v.Findings, report.Finding{Code: find.code})
		}
	}
	return v
}

// history records a season with a plan, and gives the two passes to compare.
func (m *machine) history(p plan) (then, now int) {
	n := 3 + m.IntN(6)
	power := []float64{1, 1.5, 2}[m.IntN(3)]
	for i := range n {
		x := float64(i) / float64(n-1)
		s := 0.0
		switch p.course {
		case grows, goes:
			s = math.Pow(x, power)
		case fades:
			s = math.Pow(1-x, power)
		}
		if i > 0 && m.build.Carburettor != engine.FixedJets && m.chance(0.2) {
			m.h += 0.125 * float64(m.IntN(3)-1)
		}
		m.record(p.effect.times(s), m.state(s > 0.5 && p.filter && p.course != comes), "", "")
		m.day += m.between(3, 25)
	}
	if m.chance(p.stands) {
		m.day += m.between(50, 150)
	}
	note := m.noteOf(p)
	switch p.course {
	case grows, fades: // what is noted of it is noted at the end, or at the beginning
		at := &m.passes[n-1]
		if p.course == fades {
			at = &m.passes[1]
		}
		if p.filter {
			at.FilterNote = note
		} else if note != "" {
			at.FuelNote = note
		}
		return 0, n - 1
	case goes:
		m.write(effect{}, note, p)
	case comes:
		m.write(p.effect, note, p)
	}
	if p.course == comes && m.chance(0.5) { // and a few passes later
		for range 1 + m.IntN(2) {
			m.day += m.between(1, 6)
			m.record(p.effect, m.state(false), "", "")
		}
		return m.IntN(n), len(m.passes) - 1
	}
	return n - 1, n
}

// noteOf gives what is written of a plan, "" where nothing is.
func (m *machine) noteOf(p plan) string {
	if len(p.notes) > 0 && m.chance(p.noted) {
		return p.notes[m.IntN(len(p.notes))]
	}
	return ""
}

// write records the pass with which it came or went.
func (m *machine) write(e effect, note string, p plan) {
	filter, fuel := "", note
	if p.filter {
		filter, fuel = note, ""
	}
	m.record(e, m.state(false), filter, fuel)
}

// state answers what is asked with each pass, or not.
func (m *machine) state(dirty bool) engine.State {
	var s engine.State
	if !m.chance(m.states) {
		return s
	}
	s.Warm, s.ChokeOpen, s.FilterClean = engine.Yes, engine.Yes, engine.Yes
	if dirty && m.chance(0.8) {
		s.FilterClean = engine.No
	}
	return s
}

// noticed reports whether anybody would ask why: the top speed in the end differs by
// 3 % from that at first, which is an eighth of a turn and a half; the idle by 8 %; or
// the four-stroking by 40 % of the time.
func (m *machine) noticed(then, now int) bool {
	a, b := m.truth[then], m.truth[now]
	return math.Abs(b.top/a.top-1) > 0.03 || math.Abs(b.idle/a.idle-1) > 0.08 || math.Abs(b.four-a.four) > 0.4
}

// fleetHistory draws a history of a kind of machine with a cause.
func fleetHistory(kind engine.Kind, cause Cause, seed uint64) history {
	for try := range uint64(200) {
		m := newMachine(kind, seed+1_000_003*try+99_991*uint64(len(kind)), cause == CauseStarvedPast || cause == CauseLeakPast)
		p, possible := m.planOf(cause)
		if !possible {
			return history{}
		}
		then, now := m.history(p)
		if cause == CauseCoil {
			m.pin()
		}
		if cause == CauseMeasured {
			m.spoil()
		}
		past := cause == CauseStarvedPast || cause == CauseLeakPast
		if past && m.truth[now].top > 0.97*m.truth[then].top {
			continue // it is not past the peak by much
		}
		if cause == CauseNone || cause == CauseCoil || m.noticed(then, now) {
			return history{passes: m.passes, then: then, now: now, truth: truthOf(cause), cause: cause}
		}
	}
	return history{} // such a machine hardly shows it
}

// truthOf gives the groups that are right for a cause: a fault that has gone past the
// peak is both.
func truthOf(c Cause) []Group {
	switch c {
	case CauseStarvedPast:
		return []Group{GroupPastPeak, GroupStarved}
	case CauseLeakPast:
		return []Group{GroupPastPeak, GroupLeak}
	}
	return []Group{causeTable[number(c)].group}
}

// pin makes a coil hold the last pass.
func (m *machine) pin() {
	last := &m.passes[len(m.passes)-1].Report
	last.TopEnd.SustainedRPM = report.Speed(m.limit * m.between(0.93, 0.99))
	last.Verdict.Code = codeSpark
}

// spoil makes the last pass one of a cold engine, or of a recording that is misread.
func (m *machine) spoil() {
	last := &m.passes[len(m.passes)-1]
	r := &last.Report
	if m.chance(0.4) {
		if m.chance(0.7) { // of those who are asked, some say it
			last.Report.State = engine.State{Warm: engine.No, ChokeOpen: engine.Yes}
		}
		return
	}
	r.TopEnd.SustainedRPM *= report.Speed(1 + m.either()*m.between(0.05, 0.15))
	m.truth[len(m.truth)-1].top = float64(r.TopEnd.SustainedRPM)
	if m.chance(0.8) {
		r.Quality.Problems = []report.Problem{{Code: "noise", Says: "Noise."}}
		r.TopEnd.SDRPM *= m.between(1, 6)
	}
	if m.chance(0.5) {
		r.Verdict.Code = codeNotEnough
	}
}

var fleetKinds = []engine.Kind{engine.Saw, engine.CutOffSaw, engine.Trimmer, engine.BrushCutter, engine.HedgeTrimmer, engine.Blower, engine.Auger, engine.Pump}

// canHave reports whether a cause is one that a kind of machine can have.
func canHave(kind engine.Kind, c Cause) bool {
	row := causeTable[number(c)]
	return (row.only == nil || row.only(traits{kind: kind, governor: engine.No})) && c != CauseGovernor && !slices.Contains([]Cause{CauseValves}, c)
}

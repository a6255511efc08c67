package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/synth"
)

// Simulated histories: a saw from package synth, whose speed and firing follow
// from its mixture by a model that this package knows nothing of, is set right
// and then recorded over a season. Air, screws and faults move its mixture; what
// a fault does to idle, to the way back to idle and to steady running is drawn at
// random about what practice says. Air is read off with errors, and the height
// alone tells the pressure.

// fault is what is wrong with a simulated saw at one pass, each as a share of the
// worst that it comes to, 0 to 1.
type fault struct{ leak, starved, loaded float64 }

// season is a simulated machine over time.
type season struct {
	rng    *rand.Rand
	saw    synth.Saw
	rich   float64 // of the mixture when it was set; 1 at stoichiometric
	perH   float64 // percent of mixture in a turn of H
	h      float64 // turns out
	height float64 // m
	set    air.State
	worst  fault // in percent of mixture
	shows  struct{ idle, hang, climb, sink bool }
	idleUp float64 // share of idle that the worst leak adds
	hang   float64 // s that it hangs for with the worst leak
	day    float64
	passes []book.Pass
}

// simulatedLimit is what the maker of every simulated saw prints, in rpm.
const simulatedLimit = 13500

func newSeason(seed uint64) *season {
	s := &season{rng: rand.New(rand.NewPCG(seed, 77)), saw: synth.DrawSaw(seed)}
	s.saw.Ceiling = 0
	s.rich, s.perH, s.height = s.between(1.13, 1.25), s.between(16, 30), s.between(0, 900)
	s.h = math.Round(s.between(0.75, 1.75)*8) / 8
	s.worst = fault{leak: s.between(5, 12), starved: s.between(5, 12), loaded: s.between(5, 10)}
	s.shows.idle, s.shows.hang = s.chance(0.85), s.chance(0.75)
	s.shows.climb, s.shows.sink = s.chance(0.4), s.chance(0.5)
	s.idleUp, s.hang = s.between(0.08, 0.3), s.between(0.8, 3)
	s.day = s.between(0, 365)
	return s
}

func (s *season) between(a, b float64) float64 { return a + (b-a)*s.rng.Float64() }
func (s *season) chance(p float64) bool        { return s.rng.Float64() < p }

// weather draws the air of the day as it is read off: the season's swing and the
// day's own.
func (s *season) weather() air.Reading {
	const year, coldest, mean, swing, daily = 365, 15, 10, 11, 4 // days, days, C
	temp := mean - swing*math.Cos(2*math.Pi*(s.day-coldest)/year) + daily*s.rng.NormFloat64()
	t := engine.Celsius(math.Round(min(38, max(-15, temp))))
	rh, h := engine.Percent(math.Round(s.between(40, 95))), engine.Metre(math.Round(s.height))
	return air.Reading{Temp: &t, RH: &rh, Altitude: &h}
}

// record makes a pass of the day.
func (s *season) record(f fault, filterNote, fuelNote string) {
	reading := s.weather()
	day, err := reading.Air(air.Default())
	if err != nil {
		panic(err)
	}
	truth := day.State
	truth.Temp += engine.Celsius(s.rng.NormFloat64())          // the thermometer
	truth.Pressure += engine.Pascal(800 * s.rng.NormFloat64()) // the weather
	first := s.h
	if len(s.passes) == 0 {
		s.set = truth
	} else {
		first = float64(*s.passes[0].Screws.H)
	}
	leaner := float64(air.MixtureShift(truth, s.set)) - s.perH*(s.h-first)
	leaner += s.worst.leak*f.leak + s.worst.starved*f.starved - s.worst.loaded*f.loaded
	h := book.Turns(s.h)
	s.passes = append(s.passes, book.Pass{
		Number: int64(len(s.passes) + 1), Machine: "saw",
		Recorded: time.Date(2026, 1, 1, 10, 0, 0, 0, time.UTC).Add(time.Duration(s.day * 24 * float64(time.Hour))),
		Report:   s.report(s.rich/(1+leaner/100), f), Air: &reading,
		Screws: book.Screws{H: &h}, FilterNote: filterNote, FuelNote: fuelNote,
	})
}

// report gives what a measurement of the saw would find, with its errors.
func (s *season) report(rich float64, f fault) report.Report {
	saw := s.saw
	saw.Torque *= 1 + 0.004*s.rng.NormFloat64() // warmth, fuel left in the tank
	run := synth.Tune{Saw: saw, Richness: rich, Seed: s.rng.Uint64()}.Run()
	full, _ := run.Span(synth.FullThrottle)
	four := 0.05 * s.rng.NormFloat64()
	for every := 2; every <= 4; every++ {
		four += run.Share(every, full.From, full.To)
	}
	four = min(1, max(0, four))
	sd := s.between(20, 60)
	top := float64(run.Sustained(synth.SustainedFor)) + sd*s.rng.NormFloat64()
	idle := float64(saw.Idle) * (1 + 0.02*s.rng.NormFloat64())
	hang := 0.0
	if s.shows.idle {
		idle *= 1 + s.idleUp*f.leak
	}
	if s.shows.hang {
		hang = s.hang * f.leak
	}
	return report.Report{
		Schema: report.Schema,
		Clip:   report.Clip{File: "pass.wav", SHA256: fmt.Sprintf("%064x", s.rng.Uint64()), DurationS: 10},
		Engine: report.Engine{Strokes: 2, Cylinders: 1},
		Limits: report.Limits{MaxRPM: simulatedLimit},
		TopEnd: &report.TopEnd{
			SustainedRPM: report.Speed(top), SDRPM: sd, PeakRPM: report.Speed(top + 60), FromS: 3, ToS: 6,
			FourStrokingShare: four, CleanShare: 1 - four,
		},
		Idle:    &report.Idle{RPM: report.Speed(idle), SDRPM: 25},
		Fall:    &report.Fall{TimeS: s.between(0.7, 1.1), SDS: 0.05, Back: true, HangS: hang},
		Verdict: s.judge(top, sd, four, f, hang),
	}
}

// judge gives the verdict that package verdict would give, near enough, with its
// findings; now and then one that means nothing.
func (s *season) judge(top, sd, four float64, f fault, hang float64) report.Verdict {
	v := report.Verdict{Code: codeFourStroking, Cautions: []string{"The handbook comes first."}}
	switch {
	case top-2*sd > simulatedLimit:
		v.Code = codeOver
	case top+2*sd >= simulatedLimit:
		v.Code = codeAt
	case four < 0.6:
		v.Code = codeClean
	}
	v.Says = "It is " + strings.ReplaceAll(v.Code, "-", " ") + "."
	const slip, grave = 0.02, 0.5
	for _, find := range []struct {
		code string
		yes  bool
	}{
		{findingHangs, hang >= 1},
		{findingClimbs, s.chance(slip) || s.shows.climb && f.leak > grave},
		{findingSinks, s.chance(slip) || s.shows.sink && f.starved > grave},
		{findingHunts, s.chance(2*slip) || max(f.leak, f.starved) > grave && s.chance(0.3)},
	} {
		if find.yes {
			v.Findings = append(v.Findings, report.Finding{Code: find.code})
		}
	}
	return v
}

// run records n passes, with the fault that grow gives for the share of the
// season that is over. Now and then H is moved by a step, and noted.
func (s *season) run(n int, grow func(over float64) fault) {
	for i := range n {
		if i > 0 && s.chance(0.25) {
			s.h += 0.125 * float64(s.rng.IntN(3)-1)
		}
		s.record(grow(float64(i)/float64(n-1)), "", "")
		s.day += s.between(4, 25)
	}
}

// history is what a simulation came to: two passes to compare and what is
// behind their difference.
type history struct {
	passes    []book.Pass
	then, now int
	truth     []Group
	cause     Cause // of the fleet: which of the group
}

// single are the histories with one thing behind the difference of two passes.
var single = []struct {
	name string
	make func(seed uint64) history
}{
	{"weather only", weatherOnly},
	{"filter loads up", filterLoads},
	{"then it is renewed", filterRenews},
	{"leak grows", leakGrows},
	{"fuel starves", fuelStarves},
}

func weatherOnly(seed uint64) history {
	s := newSeason(seed)
	n := 3 + s.rng.IntN(6)
	s.run(n, func(float64) fault { return fault{} })
	now := 1 + s.rng.IntN(n-1)
	return history{passes: s.passes, then: s.rng.IntN(now), now: now, truth: []Group{GroupNone}}
}

// growing is a season in which one fault grows.
func growing(seed uint64, cause Group, grow func(over float64) fault) history {
	s := newSeason(seed)
	n := 4 + s.rng.IntN(5)
	s.run(n, grow)
	return history{passes: s.passes, then: 0, now: n - 1, truth: []Group{cause}}
}

func filterLoads(seed uint64) history {
	return growing(seed, GroupRich, func(x float64) fault { return fault{loaded: math.Pow(x, 1.5)} })
}

func leakGrows(seed uint64) history {
	return growing(seed, GroupLeak, func(x float64) fault { return fault{leak: x * x} })
}

func fuelStarves(seed uint64) history {
	return growing(seed, GroupStarved, func(x float64) fault { return fault{starved: math.Pow(x, 1.5)} })
}

// filterRenews is a filter that loads up and is renewed, which three people in
// ten do not note.
func filterRenews(seed uint64) history {
	s := newSeason(seed)
	n := 4 + s.rng.IntN(5)
	s.run(n, func(x float64) fault { return fault{loaded: math.Pow(x, 1.5)} })
	note := ""
	if s.chance(0.7) {
		note = []string{"new", "cleaned", "washed it", "renewed"}[s.rng.IntN(4)]
	}
	s.record(fault{}, note, "")
	return history{passes: s.passes, then: n - 1, now: n, truth: []Group{GroupFreed}}
}

// twoAtOnce is a leak beside something else: a filter that loads up, a fuel
// supply that clogs, or a filter that was renewed.
func twoAtOnce(seed uint64) history {
	s := newSeason(seed)
	n := 5 + s.rng.IntN(4)
	switch s.rng.IntN(3) {
	case 0:
		s.run(n, func(x float64) fault { return fault{leak: x * x, loaded: x} })
		return history{passes: s.passes, then: 0, now: n - 1, truth: []Group{GroupLeak, GroupRich}}
	case 1:
		s.run(n, func(x float64) fault { return fault{leak: x * x, starved: x} })
		return history{passes: s.passes, then: 0, now: n - 1, truth: []Group{GroupLeak, GroupStarved}}
	}
	s.run(n, func(x float64) fault { return fault{leak: x * x, loaded: 1} })
	s.passes[0].FilterNote = "old"
	s.record(fault{leak: 1}, "new", "")
	return history{passes: s.passes, then: 0, now: n, truth: []Group{GroupLeak, GroupFreed}}
}

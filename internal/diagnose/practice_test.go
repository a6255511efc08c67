package diagnose

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// step is one pass of a history written by hand. Zero means as usual: 12,600
// rpm, idle 2,800, 15 C at 200 m, H 1.25, four-stroking as fits the speed.
type step struct {
	day      int
	top      report.Speed
	four     float64
	air      string
	h        book.Turns
	idle     report.Speed
	code     string
	findings []string
	filter   string
	fuel     string
}

// written makes the passes of a machine from steps.
func written(steps ...step) []book.Pass {
	var passes []book.Pass
	for i, s := range steps {
		p := madePass(i, s.day)
		p.FilterNote, p.FuelNote = s.filter, s.fuel
		r := &p.Report
		if s.top != 0 {
			r.TopEnd.SustainedRPM = s.top
		}
		// 0.05 of the time for each percent, about a percent for each 100 rpm.
		r.TopEnd.FourStrokingShare = min(1, max(0, 0.7-0.05*float64(r.TopEnd.SustainedRPM-12600)/100))
		if s.four != 0 {
			r.TopEnd.FourStrokingShare = s.four
		}
		r.TopEnd.CleanShare = 1 - r.TopEnd.FourStrokingShare
		if s.idle != 0 {
			r.Idle.RPM = s.idle
		}
		if s.code != "" {
			r.Verdict.Code = s.code
		}
		for _, f := range s.findings {
			r.Verdict.Findings = append(r.Verdict.Findings, report.Finding{Code: f})
		}
		if s.air != "" {
			reading, err := air.ParseReading(s.air)
			if err != nil {
				panic(err)
			}
			p.Air = &reading
		}
		if s.h != 0 {
			*p.Screws.H = s.h
		}
		passes = append(passes, p)
	}
	return passes
}

// why explains the last pass against the one with a number.
func why(t *testing.T, passes []book.Pass, before int64) Explanation {
	t.Helper()
	e, err := Why(passes, passes[len(passes)-1].Number, before, Default())
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func partOf(e Explanation, what string) Part {
	i := slices.IndexFunc(e.Parts, func(p Part) bool { return p.What == what })
	if i < 0 {
		return Part{Leaner: math.NaN()}
	}
	return e.Parts[i]
}

// practiceCase is a short history and what practice says of its last pass.
type practiceCase struct {
	steps   []step
	before  int64
	cause   Group
	mixture string  // that the cause is said to make
	screws  string  // where they are said to go
	rest    float64 // sign of what is left; 0: nothing beyond chance
	next    string
}

// gradualCases are changes by the air, and causes that grow.
func gradualCases() map[string]practiceCase {
	return map[string]practiceCase{
		"hotter air": {
			[]step{{air: "temp=5 rh=60 altitude=200"}, {day: 120, top: 12100, air: "temp=30 rh=60 altitude=200"}},
			0, GroupNone, "hot, high and humid rich", "in when rich", 0, "Nothing else needs looking for",
		},
		"higher ground": {
			[]step{{air: "temp=15 rh=60 altitude=200"}, {day: 3, top: 12080, air: "temp=15 rh=60 altitude=1300"}},
			0, GroupNone, "hot, high and humid rich", "in when rich", 0, "Nothing else needs looking for",
		},
		"more humid air": {
			[]step{{air: "temp=34 rh=5 altitude=200"}, {day: 3, top: 12200, air: "temp=34 rh=95 altitude=200"}},
			0, GroupNone, "hot, high and humid rich", "in when rich", 0, "Nothing else needs looking for",
		},
		"colder air": {
			[]step{{air: "temp=25 rh=60 altitude=200"}, {day: 120, top: 13100, air: "temp=0 rh=60 altitude=200"}},
			0, GroupNone, "cold, low and dry lean", "out when lean", 0, "Nothing else needs looking for",
		},
		"filter loading up: slowly rich": {
			[]step{{filter: "new"}, {day: 20, top: 12480}, {day: 40, top: 12330}, {day: 60, top: 12140}, {day: 80, top: 11900}},
			1, GroupRich, "rich", "in", -1, "air filter",
		},
		"fuel passages clogging: slowly lean": {
			[]step{
				{}, {day: 20, top: 12750}, {day: 40, top: 12950}, {day: 60, top: 13150, findings: []string{findingSinks}},
				{day: 80, top: 13350, findings: []string{findingSinks}},
			},
			1, GroupStarved, "lean", "out", 1, "Change the fuel filter",
		},
		"leak: grows, idle hangs, speed climbs": {
			[]step{
				{}, {day: 20, top: 12680}, {day: 40, top: 12850, idle: 2950},
				{day: 60, top: 13100, idle: 3200, findings: []string{findingHangs, findingClimbs}},
				{day: 80, top: 13400, idle: 3500, findings: []string{findingHangs, findingClimbs}},
			},
			1, GroupLeak, "lean", "helps for a while only", 1, "Stop adjusting",
		},
		"leak: out helps for a while only": {
			[]step{
				{}, {day: 20, top: 12950, idle: 2900}, {day: 21, top: 12650, h: 1.375, idle: 2950}, {day: 40, top: 12950, h: 1.375, idle: 3150},
				{day: 60, top: 13250, h: 1.375, idle: 3400, findings: []string{findingHangs}},
			},
			1, GroupLeak, "lean", "helps for a while only", 1, "no setting holds",
		},
	}
}

// suddenCases are causes that come with one pass.
func suddenCases() map[string]practiceCase {
	return map[string]practiceCase{
		"right after a new filter: suddenly lean": {
			[]step{{}, {day: 20, top: 12450}, {day: 40, top: 12250}, {day: 60, top: 12050}, {day: 61, top: 12620, filter: "new"}},
			0, GroupFreed, "lean", "out", 1, "Was H set on the old, dirty filter?",
		},
		"after cleaning them: rich": {
			[]step{{}, {day: 20, top: 12800}, {day: 40, top: 13000}, {day: 60, top: 13200}, {day: 62, top: 12600, fuel: "screen cleaned, new filter"}},
			0, GroupRepaired, "rich", "in", -1, "cleaned",
		},
		"stale fuel: richer, runs badly": {
			[]step{
				{fuel: "fresh, 1:50"},
				{day: 150, top: 12150, fuel: "last year's can", idle: 2600, findings: []string{findingHunts, findingUnsteady}},
			},
			0, GroupFuel, "either", "not before fresh fuel", -1, "fresh fuel of the right oil ratio",
		},
		"other oil ratio: leaner, runs badly": {
			[]step{{fuel: "1:50"}, {day: 70, top: 13060, fuel: "1:25", idle: 2650, findings: []string{findingHunts, findingUnsteady}}},
			0, GroupFuel, "either", "not before fresh fuel", 1, "fresh fuel of the right oil ratio",
		},
		"a coil at its ceiling": {
			[]step{{}, {day: 20, top: 13000, code: codeSpark}},
			0, GroupSpeedLimit, "not told", "not by the top speed", 0, "Judge it below that ceiling",
		},
		"a doubtful recording": {
			[]step{{}, {day: 1, top: 13300, four: 0.95, code: codeNotEnough, findings: []string{findingLeaps}}},
			0, GroupMeasured, "either", "not before", 0, "Record once more",
		},
	}
}

// TestPractice compares the program with the signs that practice agrees on, cause
// by cause. Source of every row: common practice.
func TestPractice(t *testing.T) {
	t.Parallel()
	cases := gradualCases()
	maps.Copy(cases, suddenCases())
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			e := why(t, written(c.steps...), c.before)
			first := e.Causes[0]
			if first.Cause != c.cause {
				t.Fatalf("it is called %s (%.2f), then %s (%.2f); rest %+v", first.Cause, first.Probability, e.Causes[1].Cause, e.Causes[1].Probability, partOf(e, partRest))
			}
			if !strings.Contains(first.Mixture, c.mixture) || !strings.Contains(first.Screws, c.screws) || !strings.Contains(first.Next, c.next) {
				t.Errorf("it says mixture %q, screws %q, next %q", first.Mixture, first.Screws, first.Next)
			}
			if len(first.For) == 0 {
				t.Error("nothing speaks for it")
			}
			rest := partOf(e, partRest)
			if c.rest != 0 && !(c.rest*rest.Leaner > 0 && math.Abs(rest.Leaner) > rest.SD) {
				t.Errorf("what is left: %+v, want its sign as %v", rest, c.rest)
			}
			if c.cause == GroupNone && (math.Abs(rest.Leaner) > engine.CoverageFactor*rest.SD || partOf(e, partAir).Leaner == 0) {
				t.Errorf("the air does %+v and leaves %+v", partOf(e, partAir), rest)
			}
		})
	}
}

// TestAirDirections: the air's part has the sign of practice, part by part.
func TestAirDirections(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		then, now, part string
		sign            float64
	}{
		{"temp=5 rh=60 altitude=200", "temp=30 rh=60 altitude=200", partTemp, -1},
		{"temp=30 rh=60 altitude=200", "temp=5 rh=60 altitude=200", partTemp, 1},
		{"temp=15 rh=60 altitude=0", "temp=15 rh=60 altitude=1500", partPressure, -1},
		{"temp=15 rh=60 altitude=1500", "temp=15 rh=60 altitude=0", partPressure, 1},
		{"temp=30 rh=10 altitude=0", "temp=30 rh=90 altitude=0", partHumidity, -1},
		{"temp=30 rh=90 altitude=0", "temp=30 rh=10 altitude=0", partHumidity, 1},
	} {
		e := why(t, written(step{air: c.then}, step{day: 1, air: c.now}), 0)
		if got := partOf(e, c.part).Leaner; got*c.sign <= 0 || partOf(e, partAir).Leaner*c.sign <= 0 {
			t.Errorf("from %s to %s: %s makes %v %% leaner", c.then, c.now, c.part, got)
		}
	}
}

// TestSeveralAtOnce: parts add up, and each is named with its share.
func TestSeveralAtOnce(t *testing.T) {
	t.Parallel()
	passes := written(
		step{filter: "old"}, step{day: 20, top: 12700, idle: 2900}, step{day: 40, top: 12850, idle: 3020, findings: []string{findingHangs}},
		step{day: 60, top: 13000, idle: 3150, findings: []string{findingHangs}}, step{day: 80, top: 13150, idle: 3300, findings: []string{findingHangs, findingClimbs}},
		step{day: 82, top: 13750, idle: 3320, filter: "new", findings: []string{findingHangs, findingClimbs}})
	e := why(t, passes, 1)
	both := []Group{e.Causes[0].Cause, e.Causes[1].Cause}
	if !slices.Contains(both, GroupLeak) || !slices.Contains(both, GroupFreed) {
		t.Fatalf("it is called %v", both)
	}
	slow, sudden, rest := partOf(e, partSlow), partOf(e, partSudden), partOf(e, partRest)
	least := Default().MinResidual
	if slow.Leaner < least || sudden.Leaner < least || math.Abs(slow.Leaner+sudden.Leaner-rest.Leaner) > engine.CoverageFactor*rest.SD {
		t.Errorf("slow %+v, sudden %+v, rest %+v", slow, sudden, rest)
	}
	for _, want := range []string{"Two things at once", "what came slowly", "leak", "what came at once", "air filter"} {
		if !strings.Contains(e.Answer, want) {
			t.Errorf("it says %q, want %q in it", e.Answer, want)
		}
	}
}

// TestPartsAddUp: air, screw and rest make up the whole change of speed.
func TestPartsAddUp(t *testing.T) {
	t.Parallel()
	for seed := range uint64(20) {
		h := leakGrows(seed)
		e := explain(observations(h.passes), h.then, h.now, Default())
		sum := partOf(e, partAir).RPM + partOf(e, partScrew).RPM + partOf(e, partRest).RPM
		if math.Abs(sum-*e.ChangeRPM) > 2 { // each is rounded
			t.Errorf("%d: the parts add up to %v of %v rpm", seed, sum, *e.ChangeRPM)
		}
	}
}

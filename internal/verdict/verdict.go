// Package verdict judges a pass: it compares the measured speeds with those that the
// user entered, takes the firing into account, and says what to do next.
//
// A small two-stroke that is rich enough misses firings at full throttle
// without load (it four-strokes) and runs clean in the cut; one that runs clean
// without load is on the lean side, and one that races past the maker's
// maximum is about to be ruined. That holds for a saw; the table in basis.go says
// what may be concluded for other machines, and on what a verdict depends where the
// machine is not known. Judge goes through the table in rules.go, top
// down, for every plateau; the first rule that holds gives the code, and among the
// plateaus the most dangerous code wins, so nothing safe can hide something
// dangerous. Where the evidence is short, or a second reading of the speed is
// probable enough, it abstains: a wrong "safe" is the worst fault that this program
// can have, and guard.go keeps every rule from it. The second table, in findings.go,
// adds what else a technician would hear; Incomplete says what is missing from the
// pass. All sentences are in the files whose names begin with says.
//
// There is no built-in speed limit. Nothing here replaces the maker's handbook.
package verdict

import (
	"cmp"
	"slices"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/quality"
)

// Code names a verdict. The values are part of the report's schema.
type Code string

// The codes, most dangerous first. A later one never hides an earlier one.
const (
	OverLimit       Code = "over-limit"
	AtLimit         Code = "at-limit"
	CleanBelowLimit Code = "clean-below-limit"
	SparkLimited    Code = "spark-limited"
	Governed        Code = "governed"
	NotEnough       Code = "not-enough"
	NoLimit         Code = "no-limit"
	NoEngine        Code = "no-engine"
	RichInCut       Code = "rich-in-cut"
	FourStroking    Code = "four-stroking"

	// BelowLimit is a machine under its limit whose mixture this test cannot judge.
	BelowLimit Code = "below-limit"
)

// Danger ranks a code by what happens to engine and user if nothing is done:
// 4 the engine is run too fast; 3 it is on the lean side; 2 its mixture cannot
// be judged at the top; 1 nothing was judged; 0 nothing is in danger.
// Over and at the limit share a rank: the advice is the same.
func (c Code) Danger() int {
	switch c {
	case OverLimit, AtLimit:
		return 4
	case CleanBelowLimit:
		return 3
	case SparkLimited, Governed:
		return 2
	case RichInCut, FourStroking, BelowLimit:
		return 0
	default:
		return 1
	}
}

// Known reports whether there is a verdict with that code.
func (c Code) Known() bool {
	return slices.ContainsFunc(rules, func(r rule) bool { return r.code == c })
}

// safe reports whether a code says that nothing is in danger.
func (c Code) safe() bool { return c.Danger() == 0 }

// Verdict is the judgement of one clip, in a code for programs and in
// sentences for people.
type Verdict struct {
	Code        Code
	Says        string     // one sentence, figures in it, evidence by time; a second for what it depends on, one more where a finding is more dangerous
	Advice      []string   // what to do next, in order
	Findings    []Finding  // what else was found, most dangerous first
	Cautions    []string   // never empty
	Asks        string     // the field of engine.Fields whose answer would change the code most; "": none would
	Closing     string     // what a message ends with: handbook, protection, who stands where
	Alternative engine.RPM // a second reading of the top speed that could not be ruled out; 0: none
}

// Finding is something that was found besides the verdict.
type Finding struct {
	Code   string   // names it for programs; part of the report's schema
	Says   string   // one sentence, figures in it
	Causes []string // what it can come from, most likely first
	Advice string   // what to do about it
}

// Judge gives the verdict on a pass.
//
// s is what pass.Summarise measured; q gives the engine, which counts as a
// two-stroke unless it has four strokes, the speeds that the user entered, and what
// is known of the machine.
// sound is how good the recording is: what breaks it, or is as in slow motion, forbids a
// safe code. The result is never safer than the evidence: see Code.Danger.
func Judge(s pass.Summary, q engine.Machine, sound quality.Quality, o Options) Verdict {
	f, r := worst(s, q, sound, o)
	first := worse(f, r.code)
	f.outranked = first != nil
	v := Verdict{
		Code:     r.code,
		Says:     join(r.says(f), f.elsewhere(r)),
		Advice:   r.advice(f),
		Findings: findingsOf(f, r.code),
		Cautions: f.cautionsFor(),
		Asks:     f.asks(r),
		Closing:  f.replyCaution(),
	}
	if other := f.namedAlternative(); other != nil {
		v.Alternative = other.Speed
	}
	if first != nil {
		v.Says = join(first.says(f), v.Says)
		v.Advice = append([]string{first.do}, v.Advice...) // the steps may be those of the table of machines
	}
	return v
}

// brokenBy gives the problem that makes the samples others than those recorded, nil for
// none.
func brokenBy(problems []quality.Problem) *quality.Problem {
	i := slices.IndexFunc(problems, func(p quality.Problem) bool { return p.Code.BreaksSound() })
	if i < 0 {
		return nil
	}
	return &problems[i]
}

// worst finds the rule that holds for each plateau that counts and gives the most
// dangerous, with its facts; of equals, that of the fastest plateau.
func worst(s pass.Summary, q engine.Machine, sound quality.Quality, o Options) (*facts, *rule) {
	f := &facts{
		Summary: s, limits: q.Limits, build: q.Build, state: q.State, basis: basisOf(q.Spec, q.Build),
		fourStroke: q.Spec.Strokes == 4, opt: o, top: s.TopEnd, broken: brokenBy(sound.Problems), dull: sound.Dull,
	}
	var worst *facts
	var rule *rule
	for _, top := range f.candidates() {
		g := *f
		g.top = top
		if r := g.rule(); rule == nil || r.code.Danger() > rule.code.Danger() {
			worst, rule = &g, r
		}
	}
	return worst, rule
}

// candidates gives the plateaus that count, the fastest first; where none does, the
// fastest of all, which is nil where there is none.
func (f *facts) candidates() []*pass.TopEnd {
	var out []*pass.TopEnd
	for i := range f.Plateaus {
		g := *f
		g.top = &f.Plateaus[i]
		if g.isCandidate() {
			out = append(out, g.top)
		}
	}
	if len(out) == 0 {
		return []*pass.TopEnd{f.top}
	}
	slices.SortStableFunc(out, func(a, b *pass.TopEnd) int {
		return cmp.Compare(b.Sustained.Speed, a.Sustained.Speed)
	})
	return out
}

// rule gives the first rule that holds, the last of which always does. It is the
// only way to a code, so none that is safe gets past the guard.
func (f *facts) rule() *rule {
	i := slices.IndexFunc(rules, func(r rule) bool { return r.when(f) })
	if !rules[i].code.safe() {
		return &rules[i]
	}
	for k := range guards {
		if guards[k].when(f) {
			return &guards[k]
		}
	}
	return &rules[i]
}

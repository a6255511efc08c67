package diagnose

import (
	"math"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// Move is how far the H screw may go before the next pass.
type Move struct {
	Turns    float64      `json:"turns"` // above 0 out, richer; below 0 in; 0 leave it, or put it back as Says says. Never more than 1/8 either way
	Says     string       `json:"says"`  // what to do and why, a few sentences
	First    Group        `json:"first"` // what must be ruled out before any screw; "" for nothing. Then Turns is 0
	Learned  bool         `json:"learned"`
	Expected report.Speed `json:"expected_rpm"`    // top speed after it, in the air of this pass; null where it is not told
	SD       float64      `json:"expected_sd_rpm"` // one standard deviation
}

// NextMove says how far H may go after the last of a machine's passes that
// counts. passes are those of the machine, as book.Book.Passes gives them.
//
// A fault comes before the screw: where something that makes it lean may be at work,
// H stays as it is until that is ruled out. Out is said of a pass that is lean for
// no such reason; the first pass of a machine asks first what has changed. In is said
// only where three settings of H have shown what a turn does, never so far that the
// limit lies within two standard deviations, and never past the leanest state in
// which the machine was recorded four-stroking.
func NextMove(passes []book.Pass, o Options) Move {
	all := observations(passes)
	return nextMove(all, len(all)-1, nil, o)
}

// nextMove gives the move after the pass with an index, which must be the last.
// asked is a comparison that is shown beside it: the move goes by its causes as well,
// so that the two cannot contradict each other.
func nextMove(all []observation, now int, asked *comparison, o Options) Move {
	last := len(all) - 1
	switch {
	case last < 0:
		return Move{Says: moveNoPass}
	case now != last:
		return Move{Says: saysNotLast(all[last].Number)}
	}
	d := decision{now: all[now], all: all, machine: traitsOf(all[now].Report.Engine), response: learnResponse(all, o), opt: o}
	d.compared = d.comparisons(asked)
	return d.decide()
}

// decision is a move of H to be decided.
type decision struct {
	now      observation
	all      []observation
	machine  traits
	response Response
	compared []*comparison // of the last pass with earlier ones
	opt      Options
}

// comparisons holds the last pass against the one before it, against the last one
// that ran right, against the first of those that count, and the one that is asked
// for.
func (d decision) comparisons(asked *comparison) []*comparison {
	now := len(d.all) - 1
	var all []*comparison
	if asked != nil {
		all = append(all, asked)
	}
	done := map[int]bool{now: true}
	for _, then := range []int{now - 1, d.lastRight(), max(0, now-d.opt.MaxPasses)} {
		if then >= 0 && !done[then] {
			done[then] = true
			all = append(all, newComparison(d.all, then, now, d.opt))
		}
	}
	return all
}

// lastRight gives the index of the last earlier pass that ran right; -1 for none.
func (d decision) lastRight() int {
	for i := len(d.all) - 2; i >= 0; i-- {
		if d.all[i].usable && d.all[i].code() == codeFourStroking {
			return i
		}
	}
	return -1
}

// suspicion is a fault that may be at work.
type suspicion struct {
	group       Group
	which       []Suspect // its causes
	probability float64   // of any such fault
	freed       float64   // probability that work explains it as well: more air or a better spark
	work        Suspect   // the likeliest such work
	against     int64     // number of the pass that shows it
}

// suspect gives the greatest suspicion of the causes of a kind over all comparisons,
// with the likeliest group of that kind.
func (d decision) suspect(kind func(groupRow) bool) suspicion {
	var worst suspicion
	for _, c := range d.compared {
		p := c.belief.any(func(r causeRow) bool { return kind(groupOf(r.group)) })
		if p <= worst.probability {
			continue
		}
		worst = suspicion{probability: p, against: c.then.Number, freed: c.belief.group(GroupFreed), work: c.suspects(GroupFreed)[0]}
		highest := -1.0
		for _, g := range groups {
			if !kind(g) {
				continue
			}
			if q := c.belief.group(g.group); q > highest {
				highest, worst.group = q, g.group
			}
		}
		worst.which = c.suspects(worst.group)
	}
	return worst
}

// leanFault reports whether a group is a fault that makes lean: one that a screw
// turned out would hide.
func leanFault(g groupRow) bool { return g.lean && g.group != GroupFreed }

// likeliestLean gives the likeliest group of faults that make lean, over all
// comparisons, with its probability: while it is likely, H is not turned in.
func (d decision) likeliestLean() (likeliest Group, probability float64) {
	for _, g := range groups {
		for _, c := range d.compared {
			if p := c.belief.group(g.group); leanFault(g) && p > probability {
				likeliest, probability = g.group, p
			}
		}
	}
	return likeliest, probability
}

// richFault reports whether a group is a fault that makes it run as if rich: one that
// a screw turned in would hide.
func richFault(g groupRow) bool { return g.group == GroupRich }

// decide goes by the machine and then by the verdict of the pass.
func (d decision) decide() Move {
	switch {
	case d.machine.fourStroke && !d.machine.speedTells() && d.machine.governor != engine.Yes:
		return Move{Says: moveFourStroke}
	case d.now.code() == codeGoverned || !d.machine.speedTells():
		return Move{Says: saysNotJudged(d.machine)}
	case d.now.code() == codeSpark:
		return Move{Says: moveSpark}
	case d.now.code() == codeBelow:
		return d.afterFault(moveBelow)
	}
	switch d.now.code() {
	case codeOver, codeAt, codeClean:
		return d.lean()
	case codeRichInCut:
		return d.rich()
	case codeFourStroking:
		return d.afterFault(moveLeave)
	}
	return Move{Says: moveNoVerdict}
}

// afterFault leaves H where it is, and says first what fault is more likely than not.
func (d decision) afterFault(says string) Move {
	if s := d.suspect(leanFault); s.probability >= even {
		return Move{Says: saysFaultThough(s), First: s.group}
	}
	return Move{Says: says}
}

// lean decides after a pass that is over its limit, at it, or clean without load:
// fault before screw, and before the fault a screw that was turned in goes back.
func (d decision) lean() Move {
	if s := d.suspect(leanFault); s.probability >= d.opt.MinSuspicion {
		if s.freed >= d.opt.MinSuspicion {
			return Move{Says: saysAskFirst(d, s), First: GroupFreed}
		}
		return Move{Says: saysFaultFirst(d, s), First: s.group}
	}
	if !d.machine.hasScrews() {
		return Move{Says: saysNoScrew(d.machine)}
	}
	turns := d.opt.MaxStep
	if d.now.code() == codeClean {
		turns = d.openingNeeded()
	}
	move := Move{Turns: turns, Learned: d.response.Learned}
	if d.canPredict() {
		move.Expected, move.SD = d.predictSpeed(turns)
	}
	move.Says = saysOut(d, turns)
	return move
}

// turnedIn gives the pass with which H last ran right, or the one before where it never
// did, and reports whether H was further out there, by half of the smallest step at
// least.
func (d decision) turnedIn() (from observation, turned bool) {
	i := d.lastRight()
	if i < 0 {
		i = len(d.all) - 2
	}
	if i < 0 || !d.machine.hasScrews() {
		return observation{}, false
	}
	from = d.all[i]
	then, noted := from.setting()
	now, notedNow := d.now.setting()
	return from, noted && notedNow && then-now >= d.opt.MinStep/2
}

// explained reports whether the last pass could be held against an earlier one, so
// that a fault would have shown.
func (d decision) explained() bool {
	for _, c := range d.compared {
		if c.comparable {
			return true
		}
	}
	return false
}

// openingNeeded gives how far out a clean pass should go, in turns: to the speed
// of the fastest pass that four-stroked, where that is known, otherwise a whole
// step.
func (d decision) openingNeeded() float64 {
	safe, known := d.fastestFourStroking()
	if !known || !d.canPredict() {
		return d.opt.MaxStep
	}
	turns := (d.now.speed() - safe) / -d.response.PerTurn
	steps := math.Ceil(turns / d.opt.MinStep)
	return min(d.opt.MaxStep, max(d.opt.MinStep, steps*d.opt.MinStep))
}

// canPredict reports whether it is known what H does to the speed of the pass.
func (d decision) canPredict() bool { return d.now.usable && d.response.Learned && d.outSlows() }

// rich decides after a pass that is rich in the cut.
func (d decision) rich() Move {
	if s := d.suspect(richFault); s.probability >= even {
		return Move{Says: saysRichFault(s), First: s.group}
	}
	if !d.machine.hasScrews() {
		return Move{Says: saysNoScrew(d.machine)}
	}
	return d.closeScrew()
}

// closeScrew turns H in as far as the evidence allows.
func (d decision) closeScrew() Move {
	limit := float64(d.now.Report.Limits.MaxRPM)
	h, noted := d.now.setting()
	switch lean, p := d.likeliestLean(); {
	case p > d.opt.MaxLeanProbability:
		return Move{Says: moveLeanCause, First: lean, Learned: d.response.Learned}
	case !d.response.Learned:
		return Move{Says: saysNotLearned(d)}
	case !d.outSlows():
		return Move{Says: moveUnclear, Learned: true}
	case !d.now.usable || d.now.doubtful(d.opt):
		return Move{Says: moveDoubtful, Learned: true}
	case limit <= 0 || !noted:
		return Move{Says: moveNotNoted, Learned: true}
	}
	for turns := d.maxClosing(); turns >= d.opt.MinStep; turns -= d.opt.MinStep {
		speed, sd := d.predictSpeed(-turns)
		if turns <= h && float64(speed)+d.opt.LimitMargin*sd < limit && d.staysSafe(turns) {
			return Move{Turns: -turns, Says: saysIn(d, turns, speed, sd), Learned: true, Expected: speed, SD: sd}
		}
	}
	return Move{Says: moveTooNear, Learned: true}
}

// maxClosing gives how far H may go in at once, in turns: the smallest step where
// the machine was never recorded in its safe state.
func (d decision) maxClosing() float64 {
	if _, known := d.fastestFourStroking(); known {
		return d.opt.MaxStep
	}
	return d.opt.MinStep
}

// staysSafe reports whether H closed by so many turns stays on the rich side of
// the fastest pass that four-stroked, with the slope as steep as it may be.
func (d decision) staysSafe(turns float64) bool {
	safe, known := d.fastestFourStroking()
	steepest := d.response.PerTurn - d.opt.LimitMargin*d.response.PerTurnSD
	return !known || d.now.speed()-steepest*turns <= safe
}

// outSlows reports whether turning H out slows the machine beyond doubt.
func (d decision) outSlows() bool {
	return d.response.PerTurn+d.opt.LimitMargin*d.response.PerTurnSD < 0
}

// predictSpeed gives the top speed to be expected after H was opened by so many
// turns, in the air of the pass, with its standard deviation.
func (d decision) predictSpeed(opened float64) (report.Speed, float64) {
	change := d.response.PerTurn * opened
	variance := d.now.variance(d.opt) + square(opened*d.response.PerTurnSD) + square(d.opt.ModelError*change)
	return report.Speed(math.Round(d.now.speed() + change)), math.Ceil(math.Sqrt(variance))
}

// fastestFourStroking gives the highest top speed of a pass that four-stroked
// under the limit, as it would be in the air of this pass, in rpm.
func (d decision) fastestFourStroking() (speed float64, known bool) {
	for _, r := range d.all {
		if !r.usable || r.code() != codeFourStroking || (r.air == nil) != (d.now.air == nil) {
			continue
		}
		change, _ := d.response.predict(d.now.airLean-r.airLean, 0)
		speed, known = max(speed, r.speed()+change), true
	}
	return speed, known
}

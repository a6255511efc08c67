package diagnose

import (
	"math"

	"topnote/internal/book"
	"topnote/internal/report"
)

// Move is how far the H screw may go before the next pass.
type Move struct {
	Turns    float64      `json:"turns"` // above 0 out, richer; below 0 in; 0 leave it. Never more than 1/8 either way
	Says     string       `json:"says"`  // what to do and why, one or two sentences
	Learned  bool         `json:"learned"`
	Expected report.Speed `json:"expected_rpm"`    // top speed after it, in the air of this pass; null where it is not told
	SD       float64      `json:"expected_sd_rpm"` // one standard deviation
}

// makesLean reports whether a cause makes the mixture lean: while one of them is
// likely, H is not turned in.
func (c Cause) makesLean() bool {
	return c == CauseLeak || c == CauseStarved || c == CauseFilterNew || c == CauseFuel
}

// NextMove says how far H may go after the last of a machine's passes that
// counts. passes are those of the machine, as book.Book.Passes gives them. Out is
// said from the first pass on, since it is the safe side. In is said only where
// three settings of H have shown what a turn does, never so far that the limit
// lies within two standard deviations, and never past the leanest state in which
// the machine was recorded four-stroking.
func NextMove(passes []book.Pass, o Options) Move {
	all := observations(passes)
	return nextMove(all, len(all)-1, o)
}

// nextMove gives the move after the pass with an index, which must be the last.
func nextMove(all []observation, now int, o Options) Move {
	last := len(all) - 1
	switch {
	case last < 0:
		return Move{Says: moveNoPass}
	case now != last:
		return Move{Says: saysNotLast(all[last].Number)}
	}
	d := decision{now: all[now], all: all, response: learnResponse(all, o), opt: o}
	return d.decide()
}

// decision is a move of H to be decided.
type decision struct {
	now      observation
	all      []observation
	response Response
	opt      Options
}

// decide goes by the verdict of the pass.
func (d decision) decide() Move {
	if d.now.Report.Engine.Strokes == fourStrokes {
		return Move{Says: moveFourStroke}
	}
	switch d.now.code() {
	case codeOver, codeAt:
		return d.open(d.opt.MaxStep, saysOutOver(d))
	case codeClean:
		return d.open(d.openingNeeded(), saysOutClean(d))
	case codeRichInCut:
		return d.closeScrew()
	case codeFourStroking:
		return Move{Says: moveLeave}
	case codeSpark:
		return Move{Says: moveSpark}
	}
	return Move{Says: moveNoVerdict}
}

// open opens H. That is the safe side and needs no proof.
func (d decision) open(turns float64, says string) Move {
	move := Move{Turns: turns, Says: says, Learned: d.response.Learned}
	if d.canPredict() {
		move.Expected, move.SD = d.predictSpeed(turns)
	}
	return move
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

// closeScrew turns H in as far as the evidence allows.
func (d decision) closeScrew() Move {
	limit := float64(d.now.Report.Limits.MaxRPM)
	h, noted := d.now.setting()
	switch {
	case !d.response.Learned:
		return Move{Says: saysNotLearned(d)}
	case !d.outSlows():
		return Move{Says: moveUnclear, Learned: true}
	case d.leanProbability() > d.opt.MaxLeanProbability:
		return Move{Says: moveLeanCause, Learned: true}
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

// leanProbability gives the highest probability of a cause that makes the mixture
// lean: one that came since the pass before, or grew from the first on.
func (d decision) leanProbability() float64 {
	now, highest := len(d.all)-1, 0.0
	if now == 0 {
		return 0
	}
	for _, then := range []int{now - 1, max(0, now-d.opt.MaxPasses)} {
		for _, c := range newComparison(d.all, then, now, d.opt).rankCauses() {
			if c.Cause.makesLean() {
				highest = max(highest, c.Probability)
			}
		}
	}
	return highest
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

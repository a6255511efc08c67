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

// lean causes: with one of them likely, no screw goes in.
var leanCauses = map[Cause]bool{CauseLeak: true, CauseStarved: true, CauseFilterNew: true, CauseFuel: true}

// tooLikely is the belief in a lean cause from which no screw goes in.
const tooLikely = 0.2

// NextMove says how far H may go after the last of a machine's passes that
// counts. passes are those of the machine, as book.Book.Passes gives them. Out is said
// from the first pass on, since it is the safe side; in only where three settings
// of H have taught what a turn does, and never so far that the limit lies within
// two standard deviations, or past the leanest state in which the machine has
// been heard to four-stroke.
func NextMove(passes []book.Pass, o Options) Move {
	return nextMoveOf(readingsOf(passes), o)
}

func nextMoveOf(rs []reading, o Options) Move {
	if len(rs) == 0 {
		return Move{Says: moveNoPass}
	}
	return nextMove(rs, len(rs)-1, o)
}

// nextMove gives the move after the pass now, which must be the last one.
func nextMove(rs []reading, now int, o Options) Move {
	if now != len(rs)-1 {
		return Move{Says: saysNotLast(rs[len(rs)-1].Number)}
	}
	m := mover{now: rs[now], all: rs, response: learn(rs, o), opt: o}
	// A fault may have come since the pass before, or have grown from the first on.
	lean := 0.0
	if now > 0 {
		lean = max(leanBelief(newPair(rs, now-1, now, o)), leanBelief(newPair(rs, max(0, now-o.MaxWindow), now, o)))
	}
	return m.move(lean)
}

// leanBelief gives the highest belief in a cause that makes lean.
func leanBelief(p *pair) float64 {
	lean := 0.0
	for _, c := range p.rank() {
		if leanCauses[c.Cause] {
			lean = max(lean, c.Belief)
		}
	}
	return lean
}

// mover decides a move.
type mover struct {
	now      reading
	all      []reading
	response Response
	opt      Options
}

// move decides by the verdict of the pass. lean is the belief in a cause that
// makes it lean and that no screw should hide.
func (m mover) move(lean float64) Move {
	if m.now.Report.Engine.Strokes == 4 {
		return Move{Says: moveFourStroke}
	}
	switch m.now.code() {
	case codeOver, codeAt:
		return m.out(m.opt.MaxStep, saysOutOver(m))
	case codeClean:
		return m.out(m.outBy(), saysOutClean(m))
	case codeRichInCut:
		return m.in(lean)
	case codeFourStroking:
		return Move{Says: moveLeave}
	case codeSpark:
		return Move{Says: moveSpark}
	}
	return Move{Says: moveNoVerdict}
}

// out opens H. It needs no proof: it is the safe side.
func (m mover) out(turns float64, says string) Move {
	move := Move{Turns: turns, Says: says, Learned: m.response.Learned}
	if m.reckons() {
		move.Expected, move.SD = m.after(turns)
	}
	return move
}

// outBy gives how far out a clean pass should go: to the speed of the fastest
// pass that four-stroked, where that is known, and a whole step where it is not.
func (m mover) outBy() float64 {
	safe, known := m.fastestSafe()
	if !known || !m.reckons() {
		return m.opt.MaxStep
	}
	need := (m.now.speed() - safe) / -m.response.PerTurn
	steps := math.Ceil(need / m.opt.MinStep)
	return min(m.opt.MaxStep, max(m.opt.MinStep, steps*m.opt.MinStep))
}

// reckons reports whether it can be said what H does to the speed of the pass.
func (m mover) reckons() bool { return m.now.usable && m.response.Learned && m.clear() }

// in closes H as far as the evidence lets it.
func (m mover) in(lean float64) Move {
	limit := float64(m.now.Report.Limits.MaxRPM)
	h, noted := m.now.setting()
	switch {
	case !m.response.Learned:
		return Move{Says: saysNotLearned(m)}
	case !m.clear():
		return Move{Says: moveUnclear, Learned: true}
	case lean > tooLikely:
		return Move{Says: moveLeanCause, Learned: true}
	case !m.now.usable || m.now.doubtful(m.opt):
		return Move{Says: moveDoubtful, Learned: true}
	case limit <= 0 || !noted:
		return Move{Says: moveNotNoted, Learned: true}
	}
	for turns := m.most(); turns >= m.opt.MinStep; turns -= m.opt.MinStep {
		speed, sd := m.after(-turns)
		if turns <= h && float64(speed)+m.opt.LimitSD*sd < limit && m.heardSafe(turns) {
			return Move{Turns: -turns, Says: saysIn(m, turns, speed, sd), Learned: true, Expected: speed, SD: sd}
		}
	}
	return Move{Says: moveTooNear, Learned: true}
}

// most gives the furthest that H may go in at once: half a step where the
// machine has never been heard in its safe state.
func (m mover) most() float64 {
	if _, known := m.fastestSafe(); known {
		return m.opt.MaxStep
	}
	return m.opt.MinStep
}

// heardSafe reports whether H closed by so much stays on the rich side of the
// fastest pass that four-stroked, with the slope as steep as it may be.
func (m mover) heardSafe(turns float64) bool {
	safe, known := m.fastestSafe()
	steepest := m.response.PerTurn - m.opt.LimitSD*m.response.PerTurnSD
	return !known || m.now.speed()-steepest*turns <= safe
}

// clear reports whether out slows the machine beyond doubt.
func (m mover) clear() bool {
	return m.response.PerTurn+m.opt.LimitSD*m.response.PerTurnSD < 0
}

// after gives the top speed to be expected after H has been opened by so many
// turns, in the air of the pass, with its deviation.
func (m mover) after(opened float64) (report.Speed, float64) {
	change := m.response.PerTurn * opened
	variance := m.now.variance(m.opt) + square(opened*m.response.PerTurnSD) + square(m.opt.Bend*change)
	return report.Speed(math.Round(m.now.speed() + change)), math.Ceil(math.Sqrt(variance))
}

// fastestSafe gives the highest top speed of a pass that four-stroked under the
// limit, as it would be in the air of this pass.
func (m mover) fastestSafe() (speed float64, known bool) {
	for _, r := range m.all {
		if !r.usable || r.code() != codeFourStroking || (r.air == nil) != (m.now.air == nil) {
			continue
		}
		change, _ := m.response.expect(m.now.thin-r.thin, 0)
		speed, known = max(speed, r.speed()+change), true
	}
	return speed, known
}

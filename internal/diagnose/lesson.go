package diagnose

import "math"

// Lessons: why it ran as it did, what the next eighth of a turn should do, and how the
// last one came out.

// lessons gives the sentences for the last of a machine's passes.
func lessons(all []observation, o Options) []string {
	says := []string{}
	now := len(all) - 1
	if now < 0 {
		return says
	}
	if now > 0 {
		if why := newComparison(all, now-1, now, o).lesson(); why != "" {
			says = append(says, saysLessonOf(all[now].Number, all[now-1].Number, why))
		}
	}
	t := traitsOf(all[now].Report.Engine)
	if all[now].usable && t.hasScrews() && all[now].code() != codeNotEnough {
		says = append(says, saysNextEighth(learnResponse(all, o), all[now], o))
	}
	if turn, found := lastTurn(all, o); found {
		says = append(says, turn.says())
	}
	return says
}

// lesson says in one sentence why the later of two passes ran otherwise, "" where no
// cause is named.
func (c *comparison) lesson() string {
	ranked := c.rankCauses()
	if !c.comparable || !c.names(ranked) {
		return ""
	}
	if ranked[0].Cause == GroupNone {
		return c.lessonOfAir()
	}
	return lessonWords[ranked[0].Cause]
}

// lessonOfAir says what air and screw did; "" where neither did anything to speak of.
func (c *comparison) lessonOfAir() string {
	turned := c.screw == screwKnown && math.Abs(c.opening) >= c.opt.MinSettingStep
	switch leaner := c.airLeaner(); {
	case turned && math.Abs(c.byScrew.value) >= math.Abs(c.byAir.value):
		return saysLessonOfScrew(c.opening)
	case math.Abs(leaner) >= c.opt.MinResidual:
		return saysLessonOfAir(leaner, c.mostOfAir())
	}
	return ""
}

func (c *comparison) airLeaner() float64 {
	if c.shift == nil {
		return 0
	}
	return float64(c.shift.Mixture)
}

// mostOfAir gives what of the air did most.
func (c *comparison) mostOfAir() int {
	s := c.shift.Parts
	parts := [...]float64{byTemp: float64(s.Temp), byPressure: float64(s.Pressure), byHumidity: float64(s.Humidity)}
	most := byTemp
	for part, leaner := range parts {
		if math.Abs(leaner) > math.Abs(parts[most]) {
			most = part
		}
	}
	return most
}

// screwTurn is a pass after which H was moved: what was expected of it with what was
// known before, and what came of it.
type screwTurn struct {
	from, to      int64   // numbers of the passes
	opened        float64 // turns
	expected      estimate
	came          estimate // with the air of both days taken out
	learned       bool     // expected from the passes before it
	airTaken      bool
	four, fourNow float64
	firing        bool
}

// lastTurn gives the last time that H was moved from one pass to the next.
func lastTurn(all []observation, o Options) (screwTurn, bool) {
	for i := len(all) - 1; i > 0; i-- {
		then, now := all[i-1], all[i]
		opened, record := openingBetween(then, now)
		if record != screwKnown || math.Abs(opened) < o.MinStep || !then.usable || !now.usable {
			continue
		}
		r := learnResponse(all[:i], o) // before it: an expectation does not change after the event
		byScrew, variance := r.predict(0, opened)
		byAir, varAir := r.predict(airShift(then, now), 0)
		t := screwTurn{
			from: then.Number, to: now.Number, opened: opened, expected: estimate{byScrew, math.Sqrt(variance)}, learned: r.Learned,
			came:     estimate{now.speed() - then.speed() - byAir, math.Sqrt(then.variance(o) + now.variance(o) + varAir)},
			airTaken: then.air != nil && now.air != nil && math.Abs(airShift(then, now)) > o.MinResidual,
		}
		a, toldA := then.FourStrokingShare()
		b, toldB := now.FourStrokingShare()
		t.four, t.fourNow, t.firing = a, b, toldA && toldB && traitsOf(now.Report.Engine).firingTells()
		return t, true
	}
	return screwTurn{}, false
}

// asExpected reports whether what came of it does not contradict what was expected.
func (t screwTurn) asExpected() bool { return !t.came.less(t.expected).significant() }

package measure_test

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"topnote/internal/report"
	"topnote/internal/verdict"
)

// Lines of issue 14: how far over or under its limit a pass counts as such, and
// how far off a speed is wrong.
const (
	surelyOver  = 0.01
	surelyUnder = 0.015
	speedWrong  = 0.03
	idleWrong   = 0.05
)

// above is how far the engine truly ran over its limit, as a share of it.
func (h heard) above() float64 { return float64(h.truth.Held/h.trial.Limits.Max) - 1 }

func (h heard) over() bool { return h.above() > surelyOver }

// warned reports whether it was told at or over its limit.
func (h heard) warned() bool {
	return h.refused == "" && slices.Contains([]string{string(verdict.OverLimit), string(verdict.AtLimit)}, h.known.Verdict.Code)
}

// topOff gives the error of the top speed as a share of it, and whether one was
// told.
func (h heard) topOff(r report.Report) (off float64, told bool) {
	silent := slices.Contains([]string{"", string(verdict.NotEnough), string(verdict.NoEngine)}, r.Verdict.Code)
	if silent || r.TopEnd == nil {
		return 0, false
	}
	return float64(r.TopEnd.SustainedRPM)/float64(h.truth.Held) - 1, true
}

// idleOff does the same for the idle, where the pass has one.
func (h heard) idleOff(r report.Report) (off float64, told bool) {
	if h.truth.Idle == 0 || r.Idle == nil {
		return 0, false
	}
	return float64(r.Idle.RPM)/float64(h.truth.Idle) - 1, true
}

// wrongs names what is wrong with what was told.
func (h heard) wrongs() []string {
	var out []string
	add := func(when bool, what string) {
		if when {
			out = append(out, what)
		}
	}
	top, told := h.topOff(h.known)
	add(told && math.Abs(top) > speedWrong && h.trial.Tampering == nil, "speed")
	top, told = h.topOff(h.unknown)
	add(told && math.Abs(top) > speedWrong && h.trial.Tampering == nil, "speed without a limit")
	add(h.safe() && h.over(), "OVER CALLED SAFE")
	add(h.safe() && h.trial.Tune.Lean() && !h.over(), "CLEAN CALLED SAFE")
	add(h.above() < -surelyUnder && h.warned(), "warned under the limit")
	add(h.trial.Tampering != nil && h.closesH(), "TOLD TO CLOSE H")
	idle, heardIdle := h.idleOff(h.known)
	add(heardIdle && math.Abs(idle) > idleWrong && h.trial.Tampering == nil, "idle")
	add(h.abstains() && h.trial.Tampering == nil, "abstains")
	return out
}

// ratio is how many of how many.
type ratio struct{ part, whole int }

func (r *ratio) count(whole, part bool) {
	if whole {
		r.whole++
		if part {
			r.part++
		}
	}
}

func (r ratio) String() string {
	if r.whole == 0 {
		return "-"
	}
	return fmt.Sprintf("%d/%d", r.part, r.whole)
}

// bars are the figures of issue 14 over some passes.
type bars struct {
	passes                              int
	overSafe, cleanSafe, underWarned    ratio
	speed, speedUnknown, abstains, idle ratio
}

func (b *bars) add(h heard) {
	b.passes++
	b.overSafe.count(h.over(), h.safe())
	b.cleanSafe.count(h.trial.Tune.Lean() && !h.over(), h.safe())
	b.underWarned.count(h.above() < -surelyUnder, h.warned())
	top, told := h.topOff(h.known)
	b.speed.count(told, math.Abs(top) > speedWrong)
	top, told = h.topOff(h.unknown)
	b.speedUnknown.count(told, math.Abs(top) > speedWrong)
	b.abstains.count(true, h.abstains())
	idle, told := h.idleOff(h.known)
	b.idle.count(told, math.Abs(idle) > idleWrong)
}

// share gives the part of the whole, 0 of nothing.
func (r ratio) share() float64 { return float64(r.part) / float64(max(1, r.whole)) }

// barsOf holds the figures of passes to the bars of issue 14.
func barsOf(all []heard) string {
	var x bars
	for _, h := range all {
		x.add(h)
	}
	var b strings.Builder
	for _, bar := range []struct {
		what string
		got  ratio
		most float64
	}{
		{"over the limit, called safe", x.overSafe, 0},
		{"clean or ragged lean, called safe", x.cleanSafe, 0},
		{"1.5 % or more under the limit, told at or over it", x.underWarned, 0.015},
		{"top speed off by more than 3 %, of those told", x.speed, 0.005},
		{"the same without a limit", x.speedUnknown, 0.005},
		{"abstained", x.abstains, 0.06},
	} {
		held := "held"
		if bar.got.share() > bar.most {
			held = "NOT HELD"
		}
		fmt.Fprintf(&b, "%-52s %9s  %5.1f %%, at most %.1f: %s\n", bar.what, bar.got, 100*bar.got.share(), 100*bar.most, held)
	}
	return b.String()
}

// rows are named groups of passes, in the order in which they first come.
type rows struct {
	names []string
	bars  map[string]*bars
}

func (r *rows) add(name string, h heard) {
	if r.bars == nil {
		r.bars = map[string]*bars{}
	}
	if r.bars[name] == nil {
		r.bars[name] = &bars{}
		r.names = append(r.names, name)
	}
	r.bars[name].add(h)
}

func (r *rows) write(b *strings.Builder) {
	for _, name := range r.names {
		x := r.bars[name]
		fmt.Fprintf(b, "%-28s %5d %9s %9s %9s %9s %9s %9s %9s\n", name, x.passes,
			x.overSafe, x.cleanSafe, x.underWarned, x.speed, x.speedUnknown, x.abstains, x.idle)
	}
}

// barTable gives the figures of passes over all, by family, machine, tune, what
// comes first in the clip, number of openings and damage. A pass with two damages
// is in two rows.
func barTable(all []heard) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-28s %5s %9s %9s %9s %9s %9s %9s %9s\n", "", "n", "over safe", "lean safe", "und. warn", "top off", "no limit", "abstains", "idle off")
	groups := []func(heard) []string{
		func(heard) []string { return []string{"all"} },
		func(h heard) []string { return []string{string(h.trial.Family())} },
		func(h heard) []string { return []string{string(h.trial.Machine)} },
		func(h heard) []string { return []string{"tune: " + string(h.trial.Tune)} },
		func(h heard) []string { return []string{"begins: " + h.truth.Run.Spans[0].Name} },
		func(h heard) []string {
			return append([]string{fmt.Sprintf("%d damages", len(h.trial.Damages))}, h.trial.Damages...)
		},
	}
	for _, names := range groups {
		var r rows
		for _, h := range all {
			for _, name := range names(h) {
				r.add(name, h)
			}
		}
		slices.Sort(r.names)
		r.write(&b)
		b.WriteString("\n")
	}
	return b.String()
}

// tamperTable counts what was said of passes that were tampered with.
func tamperTable(all []heard) string {
	type row struct{ safe, closes, named, refused, abstains ratio }
	count := map[string]*row{}
	var names []string
	for _, h := range all {
		for _, name := range []string{"all", h.trial.Tampering.Name} {
			if count[name] == nil {
				count[name] = &row{}
				names = append(names, name)
			}
			r := count[name]
			r.safe.count(true, h.safe())
			r.closes.count(true, h.closesH())
			r.named.count(true, len(h.known.Quality.Problems) > 0 || len(h.known.Clip.Remarks) > 0 || h.refused != "")
			r.refused.count(true, h.refused != "")
			r.abstains.count(true, h.abstains())
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%-28s %9s %9s %9s %9s %9s\n", "", "safe", "close H", "problem", "refused", "abstains")
	slices.Sort(names)
	for _, name := range names {
		r := count[name]
		fmt.Fprintf(&b, "%-28s %9s %9s %9s %9s %9s\n", name, r.safe, r.closes, r.named, r.refused, r.abstains)
	}
	return b.String()
}

// line says what a pass is and what was made of it.
func (h heard) line() string {
	figure := func(r report.Report) string {
		if r.TopEnd == nil {
			return "no top"
		}
		return fmt.Sprintf("%.0f (%.2f)", float64(r.TopEnd.SustainedRPM), float64(r.TopEnd.SustainedRPM)/float64(h.truth.Held))
	}
	idle := "none"
	if r := h.known.Idle; r != nil {
		idle = fmt.Sprintf("%.0f", float64(r.RPM))
	}
	what := strings.Join(h.trial.Damages, ", ")
	if h.trial.Tampering != nil {
		what = h.trial.Tampering.Name + "; " + what
	}
	return fmt.Sprintf("%s, %s, limit %.0f, held %.0f, idle %.0f [%s]: %s, top %s, without a limit %s, idle %s%s",
		h.trial.Machine, h.trial.Tune, float64(h.trial.Limits.Max), float64(h.truth.Held), float64(h.truth.Idle), what,
		h.known.Verdict.Code, figure(h.known), figure(h.unknown), idle, h.refused)
}

// wrongList gives a line for each pass of which something wrong was told.
func wrongList(all []heard) string {
	var b strings.Builder
	for _, h := range all {
		if w := h.wrongs(); len(w) > 0 {
			fmt.Fprintf(&b, "%s %s: %s\n", h.name, strings.Join(w, ", "), h.line())
		}
	}
	return b.String()
}

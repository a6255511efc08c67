package measure

import (
	"cmp"
	"slices"

	"topnote/internal/engine"
	"topnote/internal/parallel"
	"topnote/internal/pass"
	"topnote/internal/quality"
	"topnote/internal/report"
	"topnote/internal/shaft"
	"topnote/internal/verdict"
)

// lowKinds are the phases between two openings of the throttle.
var lowKinds = []pass.Kind{pass.NoEngine, pass.Starting, pass.Idle, pass.ReturnToIdle, pass.Stopping}

// How much of the idle on either side is judged with an opening: its rise and its
// return need some.
const idleBefore, idleAfter engine.Seconds = 3, 2

// opening is a span of time between two idles with full throttle in it.
type opening struct{ from, to engine.Seconds }

// findOpenings gives the openings of the throttle among the phases of a pass.
func findOpenings(phases []pass.Phase) (all []opening) {
	var now opening
	full := false
	end := func() {
		if full {
			all = append(all, now)
		}
		now, full = opening{}, false
	}
	for _, p := range phases {
		if slices.Contains(lowKinds, p.Kind) {
			end()
			continue
		}
		if now.to == 0 {
			now.from = p.From
		}
		now.to = p.To
		full = full || p.Kind == pass.FullThrottle
	}
	end()
	return all
}

// openings judges each opening of the throttle by itself, on all processors: its part of
// the track, with the idle around it, as if no more had been recorded. A clip with one or
// none gives no rows: the report itself is that row. The error is a *parallel.Panic.
func (f followed) openings(whole pass.Whole, machine engine.Machine, a quality.Assessment, options options) ([]report.Opening, error) {
	all := findOpenings(whole.Phases)
	if len(all) < 2 {
		return nil, nil
	}
	rows := make([]report.Opening, len(all))
	var group parallel.Group
	for i, o := range all {
		from, to := o.from-idleBefore, o.to+idleAfter
		if i > 0 {
			from = max(from, all[i-1].to)
		}
		if i+1 < len(all) {
			to = min(to, all[i+1].from)
		}
		group.Go(func() error {
			part := f.track
			part.Points = between(f.track.Points, from, to)
			s := whole.Part(part, f.cycles.Between(from, to))
			problems := a.Judge(verdict.Incomplete(s, to-from, options.Verdict))
			rows[i] = report.NewOpening(o.from, o.to, s, verdict.Judge(s, machine, problems, options.Verdict))
			return nil
		})
	}
	return rows, group.Wait()
}

// between gives the points from one time to another.
func between(ps []shaft.Point, from, to engine.Seconds) []shaft.Point {
	a, _ := slices.BinarySearchFunc(ps, from, func(p shaft.Point, t engine.Seconds) int { return cmp.Compare(p.At, t) })
	b, _ := slices.BinarySearchFunc(ps, to, func(p shaft.Point, t engine.Seconds) int { return cmp.Compare(p.At, t) })
	return ps[a:b]
}

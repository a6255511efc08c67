package needle

import (
	"slices"

	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// throttle tells from the speed when the throttle is opened and let go.
type throttle struct {
	fast    engine.RPM // from which a throttle is open: clutches take up below
	minOpen engine.Seconds
	last    []engine.RPM // the last few speeds that were told
	isOpen  bool
	now     opening
	top     engine.RPM     // of the opening
	full    engine.Seconds // since when it is fully open; endless: it is not
	toldAt  engine.Seconds // of the last reading with a speed
	slow    int            // readings in a row that are back down
}

// opening is one opening of the throttle, in seconds of the sound.
type opening struct {
	from, to engine.Seconds
	letGo    engine.Seconds // of the last reading near the top
	heard    engine.Seconds // sound that was heard when it was over
}

const (
	endless engine.Seconds = 1e18

	// Of a two-stroke and of a four-stroke: the speeds that package pass takes for an
	// engine that never left idle (common practice: clutches take up by 4,500).
	fast2, fast4 engine.RPM = 5000, 2600

	steadyOver = 5    // readings whose median counts
	nearTop    = 0.88 // of the top: fully open; an engine is drawn down further in the wood
	closedFrom = 0.55 // of the top: let go; less than any cut
	lostFor    = 1.0  // s without a speed: nobody knows any more
)

func newThrottle(o Options) throttle {
	t := throttle{fast: fast2, minOpen: o.MinOpen, full: endless}
	if o.Machine.Spec.Strokes == 4 {
		t.fast = fast4
	}
	return t
}

// next takes the next reading. It gives for how long the throttle is fully open, and
// the opening that is now over, if one is.
func (t *throttle) next(r shaft.Reading) (open engine.Seconds, closed *opening) {
	if !r.Speed.Told() {
		if t.isOpen && r.At-t.toldAt > lostFor {
			return 0, t.close(r.Heard)
		}
		return t.openFor(r.At), nil
	}
	t.toldAt = r.At
	if t.last = append(t.last, r.Speed); len(t.last) > steadyOver {
		t.last = t.last[:copy(t.last, t.last[1:])]
	}
	sorted := slices.Sorted(slices.Values(t.last))
	v := sorted[len(sorted)/2]
	if !t.isOpen {
		if len(t.last) == steadyOver && v >= t.fast {
			t.isOpen, t.top, t.slow, t.full = true, v, 0, endless
			t.now = opening{from: r.At, letGo: r.At}
		}
		return 0, nil
	}
	return t.follow(r, v)
}

// follow follows an open throttle by a steady speed.
func (t *throttle) follow(r shaft.Reading, v engine.RPM) (open engine.Seconds, closed *opening) {
	t.top = max(t.top, v)
	switch {
	case v >= nearTop*t.top:
		t.now.letGo = r.At
		t.full = min(t.full, r.At)
		t.slow = 0
	case v < closedFrom*t.top || v < t.fast:
		t.full = endless
		if t.slow++; t.slow >= steadyOver {
			return 0, t.close(r.Heard)
		}
	default:
		t.full, t.slow = endless, 0
	}
	return t.openFor(r.At), nil
}

// openFor gives for how long the throttle is fully open at a time.
func (t *throttle) openFor(at engine.Seconds) engine.Seconds { return max(0, at-t.full) }

// close ends the opening. One that is too short is none.
func (t *throttle) close(heard engine.Seconds) *opening {
	t.isOpen, t.full, t.last = false, endless, t.last[:0]
	t.now.to, t.now.heard = t.toldAt, heard
	if t.now.letGo-t.now.from < t.minOpen {
		return nil
	}
	o := t.now
	return &o
}

// end ends an opening that the sound ended in.
func (t *throttle) end(heard engine.Seconds) *opening {
	if !t.isOpen {
		return nil
	}
	return t.close(heard)
}

// warner says when to let go.
type warner struct {
	machine engine.Machine
	over    engine.Seconds // since when the speed is surely over the limit; 0: it is not
}

const (
	overFor        engine.Seconds = 0.3 // surely over the limit: a warning
	openAtMost     engine.Seconds = 5   // fully open without load; seconds, never minutes
	coverageFactor                = 2   // standard deviations: 95 in 100
)

// next takes the next reading and gives the warning that holds.
func (n *warner) next(r shaft.Reading, open engine.Seconds) Warning {
	limit := n.machine.Ceiling()
	switch {
	case !r.Speed.Told() || !limit.Told() || r.Speed-coverageFactor*r.SD <= limit:
		n.over = 0
	case n.over == 0:
		n.over = r.At
	case r.At-n.over >= overFor:
		return OverLimit
	}
	if open > openAtMost {
		return LetGo
	}
	return NoWarning
}

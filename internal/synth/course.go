package synth

import "topnote/internal/engine"

// course is a clip as people record them: how often the throttle opens, what comes
// before, between and after, and how the speed changes.
type course struct {
	dice
	idle, top engine.RPM
	cuts      bool // the machine is put to work within the pass
	pieces    []Piece
}

// Names of spans that only random courses have.
const (
	Blip     = "blip"     // the throttle is opened for a moment, and shut again
	Settling = "settling" // from near idle to idle
)

// Shares of courses.
const (
	noIdleFirst = 0.2
	noIdleLast  = 0.2
	blipsFirst  = 0.15
	goesToWork  = 0.3
)

// drawCourse draws a clip of up to so many openings of the throttle.
func drawCourse(d dice, idle, top engine.RPM, cuts bool, openings int) Profile {
	c := course{dice: d, idle: idle, top: top, cuts: cuts}
	start := idle
	opens := pick(d, []weighted[int]{{1, 5}, {2, 3}, {3, 2}})
	opens = min(opens, openings)
	if d.chance(noIdleFirst) {
		start = c.thisTop()
		c.held(start)
	} else {
		c.add(Idle, d.seconds(0.8, 3.5), idle, Line, 0)
		if d.chance(blipsFirst) {
			c.blips()
		}
		c.open()
	}
	for range opens - 1 {
		c.shut(false)
		c.open()
	}
	if !d.chance(noIdleLast) {
		c.shut(true)
	}
	return Pieces(start, c.pieces...)
}

func (c *course) add(name string, long engine.Seconds, to engine.RPM, shape Shape, throttle float64) {
	c.pieces = append(c.pieces, Piece{Name: name, For: long, To: to, Shape: shape, Throttle: throttle})
}

// thisTop is the top of one opening: no two are quite the same.
func (c *course) thisTop() engine.RPM { return c.top * c.rpm(0.995, 1.003) }

// blips opens the throttle for a moment, once or twice.
func (c *course) blips() {
	for range 1 + c.IntN(2) {
		c.add(Blip, c.seconds(0.15, 0.35), c.top*c.rpm(0.5, 0.85), Ease, 1)
		c.add("", c.seconds(0.4, 0.9), c.idle, Decay, 0)
		c.add(Idle, c.seconds(0.4, 1.2), c.idle, Line, 0)
	}
}

// open opens the throttle and holds it.
func (c *course) open() {
	const sags, overshoots = 0.3, 0.3
	name, top := Rise, c.thisTop()
	if c.chance(sags) {
		c.add(Rise, c.seconds(0.1, 0.4), c.idle*c.rpm(0.75, 0.95), Ease, 1)
		name = ""
	}
	over := engine.RPM(1)
	if c.chance(overshoots) {
		over = c.rpm(1.005, 1.04)
	}
	c.add(name, c.seconds(0.25, 1.1), top*over, Ease, 1)
	if over > 1 {
		c.add("", c.seconds(0.2, 0.5), top, Ease, 1)
	}
	c.held(top)
}

// held is full throttle, with work in the middle on some machines.
func (c *course) held(top engine.RPM) {
	const drifts = 0.4
	end := top
	if c.chance(drifts) {
		end *= c.rpm(0.985, 1.01)
	}
	c.add(FullThrottle, c.seconds(1.3, 4.5), end, Line, 1)
	if !c.cuts || !c.chance(goesToWork) {
		return
	}
	low := end * c.rpm(0.62, 0.86)
	load := c.between(0.4, 1)
	c.pieces = append(c.pieces,
		Piece{Name: InCut, For: c.seconds(0.3, 0.8), To: low, Throttle: 1, Load: load / 2},
		Piece{For: c.seconds(1, 3), To: low * c.rpm(0.97, 1.03), Shape: Line, Throttle: 1, Load: load})
	c.add(FullThrottle, c.seconds(0.3, 0.8), end, Ease, 1)
	c.add("", c.seconds(0.8, 2), end, Line, 1)
}

// shut closes the throttle: speed falls to somewhat over idle, then to idle within
// half a second or several. After the last opening the clip may end before that.
func (c *course) shut(last bool) {
	const hangs, settles, endsSettling = 0.15, 0.5, 0.4
	over, settle := c.rpm(1, 1.04), c.seconds(0.2, 0.6)
	if c.chance(settles) {
		over, settle = c.rpm(1.04, 1.1), c.seconds(1, 3)
	}
	c.add(Fall, c.seconds(0.5, 1.8), c.idle*over, Decay, 0)
	if c.chance(hangs) {
		c.add("", c.seconds(0.5, 2), c.idle*over*c.rpm(1.2, 1.5), Ease, 0)
		c.add("", c.seconds(0.2, 0.5), c.idle*over, Ease, 0)
	}
	c.add(Settling, settle, c.idle, Ease, 0)
	if !last || !c.chance(endsSettling) {
		c.add(ReturnToIdle, c.seconds(0.8, 2.2), c.idle, Line, 0)
	}
}

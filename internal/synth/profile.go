package synth

import (
	"math"

	"topnote/internal/engine"
)

// OperatingPoint is speed, throttle and load at one instant.
type OperatingPoint struct {
	Speed    engine.RPM // mean over a revolution, before wander; 0: the shaft is at rest
	Throttle float64    // 0 shut to 1 wide open; sets the level of the pulses
	Load     float64    // 0 none to 1 deep in the wood; sets the level of cutting noise
}

// Span is a named part of a run. The names are those of the report's phases, so
// that tests can compare them.
type Span struct {
	Name     string
	From, To engine.Seconds
}

// Names of spans, spelled as the phases of a report.
const (
	NoEngine     = "no-engine"
	Starting     = "starting"
	Idle         = "idle"
	Rise         = "rise"
	FullThrottle = "full-throttle"
	InCut        = "in-the-cut"
	Fall         = "fall"
	ReturnToIdle = "return-to-idle"
	Stopping     = "stopping"
)

// Profile is the intended course of a run: any function of time over a length.
type Profile struct {
	Length engine.Seconds
	At     func(engine.Seconds) OperatingPoint
	Spans  []Span // in order, not overlapping; may be empty
}

// Steady gives a profile of one speed at wide-open throttle.
func Steady(speed engine.RPM, length engine.Seconds) Profile {
	return Profile{
		Length: length,
		At:     func(engine.Seconds) OperatingPoint { return OperatingPoint{Speed: speed, Throttle: 1} },
		Spans:  []Span{{FullThrottle, 0, length}},
	}
}

// Shape is the course of a piece from one speed to the next.
type Shape int

// The shapes of a piece.
const (
	Ease  Shape = iota // smooth start and end, even in the logarithm of speed: a rise
	Line               // straight: a plateau, or a drift
	Decay              // fast first, slow at the end: a fall
)

// Piece is one part of a piecewise profile.
type Piece struct {
	Name     string
	For      engine.Seconds
	To       engine.RPM // speed at its end
	Shape    Shape
	Throttle float64 // 0 to 1
	Load     float64 // 0 to 1
}

// decayDepth is the length of a Decay piece in time constants.
const decayDepth = 3.5

// Pieces joins pieces end to end, starting at a speed. A piece without a name
// belongs to the span of the piece before it.
func Pieces(start engine.RPM, pieces ...Piece) Profile {
	p := Profile{}
	ends := make([]engine.Seconds, len(pieces))
	for i, q := range pieces {
		from := p.Length
		p.Length += q.For
		ends[i] = p.Length
		switch n := len(p.Spans); {
		case q.Name == "" && n > 0:
			p.Spans[n-1].To = p.Length
		case q.Name != "":
			p.Spans = append(p.Spans, Span{q.Name, from, p.Length})
		}
	}
	p.At = func(t engine.Seconds) OperatingPoint {
		from, begin := start, engine.Seconds(0)
		for i, q := range pieces {
			if t < ends[i] || i == len(pieces)-1 {
				x := math.Min(1, float64((t-begin)/q.For))
				return OperatingPoint{Speed: q.Shape.between(from, q.To, x), Throttle: q.Throttle, Load: q.Load}
			}
			from, begin = q.To, ends[i]
		}
		return OperatingPoint{Speed: start}
	}
	return p
}

// between gives the speed at share x of the way from a to b.
func (s Shape) between(a, b engine.RPM, x float64) engine.RPM {
	switch {
	case s == Ease && a > 0 && b > 0:
		return a * engine.RPM(math.Pow(float64(b/a), x*x*(3-2*x)))
	case s == Decay:
		rest := (math.Exp(-decayDepth*x) - math.Exp(-decayDepth)) / (1 - math.Exp(-decayDepth))
		return b + (a-b)*engine.RPM(rest)
	}
	return a + (b-a)*engine.RPM(x)
}

// Pass is a usual pass in a few numbers: idle, rise, full throttle without
// load, perhaps a cut, fall, and idle again. The zero value of an optional
// field leaves that part out.
type Pass struct {
	Idle, Top                                   engine.RPM
	IdleFor, RiseIn, HoldFor, FallIn, ReturnFor engine.Seconds
	Overshoot                                   float64        // optional: share of Top by which the rise overshoots
	Sag                                         float64        // optional: share of Idle lost when the throttle opens
	DriftPerSecond                              engine.RPM     // optional: climb (+) at full throttle, rpm per second
	CutTo                                       engine.RPM     // optional: speed in the wood, after the plateau
	CutFor, AgainFor                            engine.Seconds // with CutTo: time in the wood, and at full throttle after it
	HangAt                                      engine.RPM     // optional: speed at which the fall hangs
	HangFor                                     engine.Seconds // with HangAt
	HuntBy                                      float64        // optional: depth of hunting at idle, share of Idle, peak
	HuntPeriod                                  engine.Seconds // with HuntBy
}

// Profile gives the pass as a profile.
func (p Pass) Profile() Profile {
	ps := []Piece{{Name: Idle, For: p.IdleFor, To: p.Idle, Shape: Line}}
	ps = append(ps, p.rise()...)
	top := p.Top + p.DriftPerSecond*engine.RPM(p.HoldFor)
	ps = append(ps, Piece{Name: FullThrottle, For: p.HoldFor, To: top, Shape: Line, Throttle: 1})
	if p.CutTo > 0 {
		const enter, leave = 0.5, 0.6 // s, into the wood and out of it
		ps = append(ps,
			Piece{Name: InCut, For: enter, To: p.CutTo, Throttle: 1, Load: 0.5},
			Piece{For: p.CutFor, To: p.CutTo, Shape: Line, Throttle: 1, Load: 1},
			Piece{Name: FullThrottle, For: leave, To: top, Throttle: 1},
			Piece{For: p.AgainFor, To: top, Shape: Line, Throttle: 1})
	}
	if p.HangAt > 0 {
		ps = append(ps,
			Piece{Name: Fall, For: p.FallIn * 2 / 3, To: p.HangAt, Shape: Decay},
			Piece{For: p.HangFor, To: p.HangAt * 0.96, Shape: Line},
			Piece{For: p.FallIn / 3, To: p.Idle, Shape: Ease})
	} else {
		ps = append(ps, Piece{Name: Fall, For: p.FallIn, To: p.Idle, Shape: Decay})
	}
	ps = append(ps, Piece{Name: ReturnToIdle, For: p.ReturnFor, To: p.Idle, Shape: Line})
	return p.hunt(Pieces(p.Idle, ps...))
}

// rise gives the pieces between idle and the plateau.
func (p Pass) rise() []Piece {
	var ps []Piece
	from := Piece{Name: Rise, For: p.RiseIn, To: p.Top, Throttle: 1}
	if p.Sag > 0 {
		const sagFor = 0.25 // s
		ps = append(ps, Piece{Name: Rise, For: sagFor, To: p.Idle * engine.RPM(1-p.Sag), Throttle: 1})
		from.Name = ""
	}
	if p.Overshoot > 0 {
		const settle = 0.35 // s
		from.To = p.Top * engine.RPM(1+p.Overshoot)
		return append(ps, from, Piece{Name: FullThrottle, For: settle, To: p.Top, Throttle: 1})
	}
	return append(ps, from)
}

// hunt adds a slow oscillation to the idle spans of a profile.
func (p Pass) hunt(base Profile) Profile {
	if p.HuntBy == 0 {
		return base
	}
	at := base.At
	base.At = func(t engine.Seconds) OperatingPoint {
		m := at(t)
		for _, s := range base.Spans {
			if t >= s.From && t < s.To && (s.Name == Idle || s.Name == ReturnToIdle) {
				swing := math.Sin(2 * math.Pi * float64((t-s.From)/p.HuntPeriod))
				m.Speed *= engine.RPM(1 + p.HuntBy*swing)
			}
		}
		return m
	}
	return base
}

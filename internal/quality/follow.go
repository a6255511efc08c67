package quality

import (
	"math"
	"slices"

	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// regime says how fast the engine runs at a look.
type regime int

const (
	unheard  regime = iota // no speed told
	changing               // too fast for lines to stand still
	slow                   // idle
	between
	fast // full throttle
)

// operatingPoint is what the track says of one instant.
type operatingPoint struct {
	pace    regime
	speed   engine.RPM
	spacing engine.Hz // of the lines that firing makes; 0: unheard
	cycle   engine.Hz // working cycles a second
	fires   shaft.Firing
	slope   float64 // change of ln speed, 1/s
}

// trackIndex is a track, looked up by time.
type trackIndex struct {
	points []shaft.Point
	hop    float64
	top    engine.RPM // speed that nine readings in ten do not exceed
	engine engine.Spec
	opt    Options
}

// topShare of the readings do not exceed what is taken for the top speed.
const topShare = 0.9

func follow(t shaft.Track, e engine.Spec, o Options) trackIndex {
	w := trackIndex{points: t.Points, hop: math.Max(float64(t.Hop), 1e-3), engine: e, opt: o}
	var speeds []float64
	for _, p := range t.Points {
		if p.Speed.Told() {
			speeds = append(speeds, float64(p.Speed))
		}
	}
	w.top = engine.RPM(quantile(speeds, topShare))
	return w
}

// speed gives the speed told nearest to a time, and the firing; 0 for none.
func (w trackIndex) speed(at float64) (engine.RPM, shaft.Firing) {
	i := int(math.Round(at / w.hop))
	if i < 0 || i >= len(w.points) {
		return 0, 0
	}
	return w.points[i].Speed, w.points[i].Fires
}

// at gives what the track says of a time in seconds.
func (w trackIndex) at(t float64) operatingPoint {
	v, fires := w.speed(t)
	if !v.Told() {
		return operatingPoint{}
	}
	m := operatingPoint{
		pace: between, speed: v,
		spacing: w.engine.FiringFrequency(v) / engine.Hz(max(1, fires)),
		cycle:   v.Hz() * 2 / engine.Hz(w.engine.Strokes), fires: fires,
	}
	before, _ := w.speed(t - float64(w.opt.SlopeOver))
	after, _ := w.speed(t + float64(w.opt.SlopeOver))
	if !before.Told() || !after.Told() {
		m.pace = changing
		return m
	}
	m.slope = math.Log(float64(after/before)) / (2 * float64(w.opt.SlopeOver))
	switch {
	case math.Abs(m.slope) > w.opt.MaxSlope:
		m.pace = changing
	case v >= w.top*engine.RPM(w.opt.FastFrom):
		m.pace = fast
	case v <= w.top*engine.RPM(w.opt.SlowTo) && math.Abs(m.slope) <= w.opt.MaxSettled:
		m.pace = slow
	}
	return m
}

// lost gives the time for which no speed was told although it is about as loud
// as at full throttle: an idle would not be heard in it.
func (w trackIndex) lost(l levels, o Options) engine.Seconds {
	var loud []float64
	for i, v := range l.engine {
		if w.at(l.time(i)).pace == fast {
			loud = append(loud, v)
		}
	}
	if len(loud) == 0 {
		return 0
	}
	least := median(loud) - float64(o.LostLoud)
	looks := 0
	for i, v := range l.engine {
		if w.at(l.time(i)).pace == unheard && v > least {
			looks++
		}
	}
	return engine.Seconds(looks) * o.Hop
}

// toldFor gives the time for which a speed was told.
func toldFor(t shaft.Track) engine.Seconds {
	n := 0
	for _, p := range t.Points {
		if p.Speed.Told() {
			n++
		}
	}
	return engine.Seconds(n) * t.Hop
}

// quantile gives the value that a share of x does not exceed, 0 for none. It
// sorts x.
func quantile(x []float64, share float64) float64 {
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	return x[int(share*float64(len(x)-1))]
}

// median sorts x.
func median(x []float64) float64 { return quantile(x, 0.5) }

package quality

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/noise"
	"topnote/internal/shaft"
)

// regime says how fast the engine runs at an instant.
type regime int

const (
	unknown  regime = iota // no speed told
	changing               // too fast for its lines to be narrow
	idling
	between
	fullThrottle
)

// operatingPoint is what the track says of one instant.
type operatingPoint struct {
	regime  regime
	speed   engine.RPM
	spacing engine.Hz // of the lines that firing makes; 0: no speed told
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

func newTrackIndex(t shaft.Track, e engine.Spec, o Options) trackIndex {
	const shortestHop = 1e-3 // s
	x := trackIndex{points: t.Points, hop: math.Max(float64(t.Hop), shortestHop), engine: e, opt: o}
	var speeds []float64
	for _, p := range t.Points {
		if p.Speed.Told() {
			speeds = append(speeds, float64(p.Speed))
		}
	}
	x.top = engine.RPM(dsp.Quantile(dsp.Sorted(speeds), topShare))
	return x
}

// reading gives the speed told nearest to a time, and the firing; 0 for none.
func (x trackIndex) reading(at engine.Seconds) (engine.RPM, shaft.Firing) {
	i := int(math.Round(float64(at) / x.hop))
	if i < 0 || i >= len(x.points) {
		return 0, 0
	}
	return x.points[i].Speed, x.points[i].Fires
}

// at gives what the track says of a time.
func (x trackIndex) at(t engine.Seconds) operatingPoint {
	v, fires := x.reading(t)
	if !v.Told() {
		return operatingPoint{}
	}
	p := operatingPoint{
		regime: between, speed: v,
		spacing: x.engine.FiringFrequency(v) / engine.Hz(max(1, fires)),
		cycle:   v.Hz() * 2 / engine.Hz(x.engine.Strokes), fires: fires,
	}
	before, _ := x.reading(t - x.opt.SlopeOver)
	after, _ := x.reading(t + x.opt.SlopeOver)
	if !before.Told() || !after.Told() {
		p.regime = changing
		return p
	}
	p.slope = math.Log(float64(after/before)) / (2 * float64(x.opt.SlopeOver))
	switch {
	case math.Abs(p.slope) > x.opt.MaxSlope:
		p.regime = changing
	case v >= x.top*engine.RPM(x.opt.FullShare):
		p.regime = fullThrottle
	case v <= x.top*engine.RPM(x.opt.IdleShare) && math.Abs(p.slope) <= x.opt.MaxIdleSlope:
		p.regime = idling
	}
	return p
}

// lost gives the time for which no speed was told although it is about as loud
// as at full throttle: an idle could not be followed in it.
func (x trackIndex) lost(l noise.Levels) engine.Seconds {
	var loud []float64
	for i, v := range l.Engine {
		if x.at(l.Middle(i)).regime == fullThrottle {
			loud = append(loud, v)
		}
	}
	if len(loud) == 0 {
		return 0
	}
	least := dsp.Median(loud) - float64(x.opt.LostBelow)
	hops := 0
	for i, v := range l.Engine {
		if x.at(l.Middle(i)).regime == unknown && v > least {
			hops++
		}
	}
	return engine.Seconds(hops) * l.Hop
}

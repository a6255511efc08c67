package shaft

import (
	"math"

	"topnote/internal/engine"
)

// inflateSD turns the standard deviation that the noise explains into one that
// holds the true speed: it adds the unevenness of the speed around each point,
// which a window blurs, and the turn-to-turn jitter of the shaft.
func inflateSD(ps []Point, order float64, o Options) {
	uneven := unevenness(ps)
	for i := range ps {
		p := &ps[i]
		if !p.Speed.Told() {
			continue
		}
		noise := o.SDNoise * float64(p.SD/p.Speed)
		wander := o.SDWander * uneven[i]
		least := float64(o.SDLeast) / (float64(p.Speed.Hz()) * order)
		p.SD = engine.RPM(math.Sqrt(noise*noise+wander*wander+least*least)) * p.Speed
	}
}

// unevenness gives how far ln speed departs from a straight line over a few
// points: the root mean square of its second difference, scaled to the standard
// deviation of independent points.
func unevenness(ps []Point) []float64 {
	const (
		lag   = 2
		reach = 8
		leap  = 0.35 // no shaft does that in the time: two readings meet there
	)
	second := make([]float64, len(ps))
	told := make([]bool, len(ps))
	for i := lag; i+lag < len(ps); i++ {
		a, b, c := ps[i-lag].Speed, ps[i].Speed, ps[i+lag].Speed
		if a.Told() && b.Told() && c.Told() {
			v := math.Log(float64(a * c / (b * b)))
			if math.Abs(v) < leap {
				second[i], told[i] = v*v/6, true // the variance of x-2y+z is 6
			}
		}
	}
	out := make([]float64, len(ps))
	for i := range ps {
		var s, n float64
		for j := max(0, i-reach); j <= min(len(ps)-1, i+reach); j++ {
			if told[j] {
				s, n = s+second[j], n+1
			}
		}
		out[i] = math.Sqrt(s / max(n, 1))
	}
	return out
}

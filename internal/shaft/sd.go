package shaft

import (
	"math"

	"topnote/internal/engine"
)

// SDOptions says how the standard deviation of a speed is made of its parts.
type SDOptions struct {
	NoiseFactor      float64   // on the one that noise explains
	UnevennessFactor float64   // on the unevenness of the speed around
	Min              engine.Hz // of the firing frequency
}

// inflateSD adds to the standard deviation that noise explains the unevenness of the
// speed around each point, which a window blurs, and the jitter of the shaft from
// cycle to cycle.
func inflateSD(ps []Point, order float64, o SDOptions) {
	uneven := unevenness(ps)
	for i := range ps {
		p := &ps[i]
		if !p.Speed.Told() {
			continue
		}
		noise := o.NoiseFactor * float64(p.SD/p.Speed)
		blur := o.UnevennessFactor * uneven[i]
		least := float64(o.Min) / (float64(p.Speed.Hz()) * order)
		p.SD = engine.RPM(math.Sqrt(noise*noise+blur*blur+least*least)) * p.Speed
	}
}

// unevenness gives how far ln speed departs from a straight line over a few points:
// the root mean square of its second difference, scaled to the standard deviation of
// independent points.
func unevenness(ps []Point) []float64 {
	const lag = reach / 2
	second := make([]float64, len(ps))
	told := make([]bool, len(ps))
	for i := lag; i+lag < len(ps); i++ {
		a, b, c := ps[i-lag].Speed, ps[i].Speed, ps[i+lag].Speed
		if a.Told() && b.Told() && c.Told() {
			v := math.Log(float64(a * c / (b * b)))
			if math.Abs(v) < leap { // else there are two readings
				second[i], told[i] = v*v/6, true // the variance of x-2y+z is 6
			}
		}
	}
	out := make([]float64, len(ps))
	for i := range ps {
		var sum, n float64
		for j := max(0, i-2*reach); j <= min(len(ps)-1, i+2*reach); j++ {
			if told[j] {
				sum, n = sum+second[j], n+1
			}
		}
		out[i] = math.Sqrt(sum / max(n, 1))
	}
	return out
}

package shaft

import (
	"math"

	"topnote/internal/engine"
)

// neighbourhood is how many points of the grid around a reading belong to it: 4 %.
const neighbourhood = 3

// minAlternativeShare is the least share of belief at which a second reading is told.
const minAlternativeShare = 0.02

// posteriorDecoder turns beliefs into points. It keeps its buffers, so it must not be used by
// two goroutines at once.
type posteriorDecoder struct {
	sc         freqGrid
	order      float64   // firings in a turn
	on, around []float64 // belief in each frequency, and in what is near to it
}

func newPosteriorDecoder(sc freqGrid, order float64) *posteriorDecoder {
	return &posteriorDecoder{sc: sc, order: order, on: make([]float64, sc.n), around: make([]float64, sc.n)}
}

// point turns the belief at one look, shape [period][frequency] and then "no
// engine", into a point: the reading that most belief stands on, how much that
// is, and the second one.
func (d *posteriorDecoder) point(p []float32) Point {
	sc, order, on, around := d.sc, d.order, d.on, d.around
	clear(on)
	for n := range MaxPeriod {
		for i, v := range p[n*sc.n : (n+1)*sc.n] {
			on[i] += float64(v)
		}
	}
	var sum float64
	for _, v := range on[:neighbourhood] {
		sum += v
	}
	best := 0
	for i := range on {
		if i+neighbourhood < len(on) {
			sum += on[i+neighbourhood]
		}
		if i > neighbourhood {
			sum -= on[i-neighbourhood-1]
		}
		around[i] = sum
		if sum > around[best] {
			best = i
		}
	}
	none := float64(p[len(p)-1])
	pt := Point{Confidence: min(1, max(around[best], none))}
	if around[best] < none || best >= sc.engineTop {
		return pt
	}
	var at, weight float64
	for j := max(0, best-neighbourhood); j <= min(sc.n-1, best+neighbourhood); j++ {
		at += on[j] * float64(j)
		weight += on[j]
	}
	pt.Speed = engine.RPM(sc.at(at/weight) / order * 60)
	b := periods(p, sc, sc.at(float64(best)))
	for n := range b {
		if b[n] > b[max(0, int(pt.Fires)-1)] || n == 0 {
			pt.Fires = Firing(n + 1)
		}
	}
	second := -1
	for i, v := range around[:sc.engineTop] {
		if (i < best-2*neighbourhood || i > best+2*neighbourhood) && (second < 0 || v > around[second]) {
			second = i
		}
	}
	if second >= 0 && around[second] >= minAlternativeShare {
		pt.Alternative = engine.RPM(sc.at(float64(second)) / order * 60)
		pt.AlternativeShare = around[second]
	}
	return pt
}

// periods gives the belief in each firing period near a frequency; sums to 1.
func periods(p []float32, sc freqGrid, f float64) (b [MaxPeriod]float64) {
	i := int(math.Round(math.Log2(f/sc.low) * sc.perOctave))
	var z float64
	for n := range MaxPeriod {
		for j := max(0, i-neighbourhood); j <= min(sc.n-1, i+neighbourhood); j++ {
			b[n] += float64(p[n*sc.n+j])
			z += float64(p[n*sc.n+j])
		}
	}
	for n := range b {
		b[n] /= max(z, 1e-30)
	}
	return b
}

// slopes gives the rate of change of ln speed at each point, 1/s, by a straight
// line through the points around it; 0 where there are too few.
func slopes(ps []Point, hop engine.Seconds) []float64 {
	const (
		reach = 3   // points either side
		leap  = 0.4 // of ln speed: a point that far off belongs to another reading
	)
	out := make([]float64, len(ps))
	for i := range ps {
		var n, st, sy, stt, sty float64
		for j := max(0, i-reach); j <= min(len(ps)-1, i+reach); j++ {
			if !ps[i].Speed.Told() || !ps[j].Speed.Told() {
				continue
			}
			y := math.Log(float64(ps[j].Speed / ps[i].Speed))
			if math.Abs(y) > leap {
				continue
			}
			t := float64(j-i) * float64(hop)
			n, st, sy, stt, sty = n+1, st+t, sy+y, stt+t*t, sty+t*y
		}
		if d := n*stt - st*st; d > 0 && n > 2 {
			out[i] = (n*sty - st*sy) / d
		}
	}
	return out
}

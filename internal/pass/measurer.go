package pass

import (
	"math"
	"sync"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/shaft"
)

// measurer measures the phases of a track.
type measurer struct {
	whole *measurer // of the track that this one is a part of; nil for none
	cuts  *sync.Map // of the whole, the firing.SparkCutEvidence found, by its cutsKey
	*series
	held     *heldSpeeds
	segments []segment
	leaps    []span // series.leaptSpans

	minConfidence float64 // 0 to 1: leastConfidence
	machine       engine.Machine
	cycles        firing.Cycles
	opt           Options
}

// phases gives the segments with their figures.
func (m *measurer) phases() []Phase {
	out := make([]Phase, len(m.segments))
	for i, x := range m.segments {
		speeds := dsp.Sorted(m.told(x.span))
		f := m.firingOf(x.span)
		out[i] = Phase{
			Kind: x.kind, From: m.at(x.a), To: m.at(x.b),
			Median:       engine.RPM(dsp.Quantile(speeds, 0.5)),
			Min:          engine.RPM(dsp.Quantile(speeds, 0)),
			Max:          engine.RPM(dsp.Quantile(speeds, 1)),
			FourStroking: f.fourStroking(),
			FiringTold:   f.toldShare(),
		}
	}
	return out
}

// firingCounts counts the points of a span by firing period: 0 not told, N every
// Nth cycle. Points without a speed are not counted.
type firingCounts [5]int

func (m *measurer) firingOf(r span) firingCounts {
	var f firingCounts
	for _, p := range m.points[r.a:r.b] {
		if p.Speed.Told() {
			f.add(p.Fires)
		}
	}
	return f
}

func (f *firingCounts) add(n shaft.Firing) { f[min(int(n), len(f)-1)]++ }

func (f firingCounts) told() int { return f[1] + f[2] + f[3] + f[4] }

func (f firingCounts) all() int { return f[0] + f.told() }

// fourStroking gives the share of four-stroking points among those whose
// firing was told; 0 where none was.
func (f firingCounts) fourStroking() float64 { return ratio(f.told()-f[1], f.told()) }

// toldShare gives the share of the points whose firing was told.
func (f firingCounts) toldShare() float64 { return ratio(f.told(), f.all()) }

// fourStrokingOfAll gives the share of all points that four-stroke, with its standard
// deviation: all those not told may do so, and count for two deviations.
func (m *measurer) fourStrokingOfAll(f firingCounts) (four, sd float64) {
	const deviations = 2
	four = ratio(f.told()-f[1], f.all())
	sd = math.Hypot(m.samplingSD(four, f.all()), ratio(f[0], f.all())/deviations)
	return four, math.Hypot(sd, m.shareSD)
}

// samplingSD gives the standard deviation of a share of so many points, of which
// one every FiringFor is independent. A share of 0 or 1 is not certain either.
//
// Source: the posterior of a share after Laplace's rule of succession, a beta
// distribution of parameters np+1 and n(1-p)+1.
func (m *measurer) samplingSD(share float64, points int) float64 {
	n := float64(points) * m.hop / float64(m.opt.FiringFor)
	mean := (n*share + 1) / (n + 2)
	return math.Sqrt(mean * (1 - mean) / (n + 3))
}

func ratio(part, whole int) float64 {
	if whole == 0 {
		return 0
	}
	return float64(part) / float64(whole)
}

// levelOf gives the median speed of a span with its standard deviation; zero
// where no speed was told.
func (m *measurer) levelOf(r span) Figure {
	x := m.told(r)
	if len(x) == 0 {
		return Figure{}
	}
	v := dsp.Median(x)
	return m.withSD(r, v, m.opt).figure()
}

// duration gives the time between two points. The standard deviation of either end
// is half of the time over which errors correlate.
func (m *measurer) duration(from, to int) Duration {
	return Duration{m.at(to) - m.at(from), m.opt.CorrelatedFor * math.Sqrt2 / 2}
}

// isSlow reports whether a segment is an idle of either kind.
func (x segment) isSlow() bool { return x.kind == Idle || x.kind == ReturnToIdle }

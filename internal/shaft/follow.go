package shaft

import (
	"math"

	"topnote/internal/spectrum"
	"topnote/internal/unit"
)

// Follow reads the speed of the shaft and its firing period from sound.
func Follow(x []float32, rate unit.Hz, q Query) (Track, error) {
	return FollowWith(x, rate, q, Default())
}

// FollowWith is Follow with options of the caller's.
func FollowWith(x []float32, rate unit.Hz, q Query, o Options) (Track, error) {
	if err := q.Engine.Check(); err != nil {
		return Track{}, err
	}
	x, _ = spectrum.WithoutHum(x, rate, spectrum.DefaultHum())
	sc := newScale(o, q.Engine)
	frames := int(float64(len(x))/(float64(o.Hop)*float64(rate))) + 1
	lat := newLattice(o, sc, q)
	ev := make([][]float32, frames)
	for t := range ev {
		ev[t] = make([]float32, lat.states())
	}
	// Lines of an engine that fires less than once a turn stand closer.
	stretch := max(1, 1/q.Engine.FiringOrder())
	look := func(v View, x []float32, rate unit.Hz) error {
		v.Window *= unit.Seconds(stretch)
		v.Size *= int(math.Ceil(stretch))
		w, err := newViewer(v, rate, sc, o.ContrastOrders)
		if err != nil {
			return err
		}
		for t := range ev {
			w.add(ev[t], x, int(float64(t)*float64(o.Hop)*float64(rate)), o, sc)
		}
		return nil
	}
	for _, v := range o.Spectra {
		if err := look(v, x, rate); err != nil {
			return Track{}, err
		}
	}
	if o.Envelope.Weight > 0 {
		if err := look(o.Envelope, envelope(x, rate, o.Hiss, o.EnvelopeDecimate), rate/unit.Hz(o.EnvelopeDecimate)); err != nil {
			return Track{}, err
		}
	}
	for t := range ev {
		for i := range ev[t] {
			ev[t][i] *= float32(o.Scale)
		}
		ev[t][lat.states()-1] = float32(o.Quiet)
	}
	o.Loudness.weigh(ev, x, rate, o, sc, q.Engine.FiringOrder())
	// A state is closed whose lines no view resolves, whose speed no engine has,
	// or whose firing the engine cannot have: the turns of a four-stroke single
	// without a firing are no missed ones.
	single4 := q.Engine.Strokes == 4 && q.Engine.Cylinders == 1
	widest := o.Spectra[len(o.Spectra)-1]
	widest.Window *= unit.Seconds(stretch)
	for n := 1; n <= maxPeriod; n++ {
		for i := range sc.n {
			if sc.at(float64(i))/float64(n)*float64(widest.Window) < widest.Resolve || (n > 1 && (i >= sc.run || single4)) {
				for t := range ev {
					for m := range int(modes) {
						ev[t][(m*maxPeriod+n-1)*sc.n+i] = -100
					}
				}
			}
		}
	}
	post := lat.smoothed(ev)
	tr := Track{Hop: o.Hop}
	belief := make([][maxPeriod]float64, len(post))
	for t := range post {
		tr.Points = append(tr.Points, decode(post[t], sc, q.Engine.FiringOrder(), unit.Seconds(float64(t)*float64(o.Hop))))
	}
	for t, p := range tr.Points {
		if p.Speed.Told() {
			belief[t] = periods(post[t], sc, float64(p.Speed.Hz())*q.Engine.FiringOrder())
		}
	}
	refineAll(&tr, x, rate, q.Engine.FiringOrder(), o)
	if q.Engine == unit.TwoStrokeSingle {
		tellFiring(tr.Points, x, float64(rate), q.Engine.FiringOrder(), belief, o.Firing)
	}
	return tr, nil
}

// refineAll replaces the speeds of the grid by refined ones.
func refineAll(tr *Track, x []float32, rate unit.Hz, order float64, o Options) {
	r := newRefiner(o, rate)
	slopes := slopes(tr.Points, o)
	clear := make([]float64, len(tr.Points))
	for i := range tr.Points {
		p := &tr.Points[i]
		if !p.Speed.Told() {
			continue
		}
		f0 := float64(p.Speed.Hz()) * order
		v, ok := r.at(x, float64(p.At), f0, max(1, int(p.Fires)), slopes[i])
		clear[i] = v.clear
		if ok {
			p.Speed = unit.Hz(v.f / order).RPM()
			p.SD = unit.RPM(v.sd/v.f) * p.Speed
		} else {
			p.SD = unit.RPM(o.RefineTrust) * p.Speed
		}
	}
	hush(tr.Points, clear, o)
	widen(tr.Points, order, o)
}

// slopes gives the rate of change of the logarithm of speed, a second, by a
// straight line through the points around each.
func slopes(ps []Point, o Options) []float64 {
	const reach = 3
	out := make([]float64, len(ps))
	for i := range ps {
		var n, st, sy, stt, sty float64
		for j := max(0, i-reach); j <= min(len(ps)-1, i+reach); j++ {
			if !ps[j].Speed.Told() || math.Abs(math.Log(float64(ps[j].Speed/ps[i].Speed))) > 0.4 {
				continue
			}
			t, y := float64(j-i)*float64(o.Hop), math.Log(float64(ps[j].Speed))
			n, st, sy, stt, sty = n+1, st+t, sy+y, stt+t*t, sty+t*y
		}
		if d := n*stt - st*st; d > 0 && n > 2 {
			out[i] = (n*sty - st*sy) / d
		}
	}
	return out
}

func decode(p []float32, sc scale, order float64, at unit.Seconds) Point {
	nf := sc.n
	m := make([]float64, nf)
	for r := range int(modes) * maxPeriod {
		for i := range nf {
			m[i] += float64(p[r*nf+i])
		}
	}
	const r = 3
	best, bi := 0.0, 0
	for i := range m {
		var s float64
		for j := max(0, i-r); j <= min(nf-1, i+r); j++ {
			s += m[j]
		}
		if s > best {
			best, bi = s, i
		}
	}
	pt := Point{At: at, Confidence: best}
	if best < float64(p[len(p)-1]) || bi >= sc.run {
		return pt
	}
	var num, den float64
	var per [maxPeriod]float64
	for j := max(0, bi-r); j <= min(nf-1, bi+r); j++ {
		num += m[j] * float64(j)
		den += m[j]
		for r := range int(modes) * maxPeriod {
			per[r%maxPeriod] += float64(p[r*nf+j])
		}
	}
	pt.Speed = unit.RPM(sc.at(num/den) / order * 60)
	bn := 0
	for n := range per {
		if per[n] > per[bn] {
			bn = n
		}
	}
	pt.Fires = Firing(bn + 1)
	return pt
}

// widen turns the standard deviation that the noise explains into one that
// holds the true speed: it adds the unevenness of the speed around each point,
// which a window blurs, and the turn-to-turn jitter of the shaft.
func widen(ps []Point, order float64, o Options) {
	uneven := unevenness(ps)
	for i := range ps {
		p := &ps[i]
		if !p.Speed.Told() {
			continue
		}
		noise := o.SDNoise * float64(p.SD/p.Speed)
		wander := o.SDWander * uneven[i]
		least := float64(o.SDLeast) / (float64(p.Speed.Hz()) * order)
		p.SD = unit.RPM(math.Sqrt(noise*noise+wander*wander+least*least)) * p.Speed
	}
}

// unevenness gives how far ln speed departs from a straight line over a few
// points: the root mean square of its second difference, scaled to the standard
// deviation of independent points.
func unevenness(ps []Point) []float64 {
	const lag, reach = 2, 8
	second := make([]float64, len(ps))
	told := make([]bool, len(ps))
	for i := lag; i+lag < len(ps); i++ {
		a, b, c := ps[i-lag].Speed, ps[i].Speed, ps[i+lag].Speed
		if a.Told() && b.Told() && c.Told() {
			v := math.Log(float64(a * c / (b * b)))
			second[i], told[i] = v*v/6, true // the variance of x-2y+z is 6
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

// periods gives the lattice's belief in each firing period near a frequency.
func periods(p []float32, sc scale, f float64) (b [maxPeriod]float64) {
	i := int(math.Round(math.Log2(f/sc.low) * sc.per))
	var z float64
	for r := range int(modes) * maxPeriod {
		for j := max(0, i-3); j <= min(sc.n-1, i+3); j++ {
			b[r%maxPeriod] += float64(p[r*sc.n+j])
			z += float64(p[r*sc.n+j])
		}
	}
	for n := range b {
		b[n] /= max(z, 1e-30)
	}
	return b
}

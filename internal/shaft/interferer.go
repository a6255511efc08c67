package shaft

import (
	"math"

	"topnote/internal/engine"
)

// InterfererOptions says what is taken for the lines of something that does not
// obey the throttle: a second engine, a pump, a saw bench next door.
type InterfererOptions struct {
	Level     engine.Decibel // a line stands this far over the floor
	Share     float64        // in this share of the frames
	MinLines  int            // lines, and multiples in a series, under which there is nothing worth masking
	Slow      engine.Hz      // least frequency whose multiples make a series
	Width     engine.Hz      // masked either side of a line
	Keeps     float64        // share of the told points that must be told without them
	Same      float64        // share of the told points that must be read as before
	Moves     float64        // and the speed must then range over this ratio
	Owned     float64        // share of the readings that change which must have been of those lines
	Near      engine.Hz      // how near a reading's order is to a line that it is of
	Tolerance engine.Hz      // and how far a multiple may lie from a line of its series
}

// mask is a set of frequencies that are not looked at; nil is empty.
type mask []engine.Hz

// covers reports whether a frequency lies within width of one of the mask.
func (m mask) covers(f, width engine.Hz) bool {
	for _, l := range m {
		if math.Abs(float64(f-l)) <= float64(width) {
			return true
		}
	}
	return false
}

// bins tells of each of n bins whether it lies within width of a frequency of the mask.
func (m mask) bins(n int, bin, width engine.Hz) []bool {
	covered := make([]bool, n)
	for i := range covered {
		covered[i] = m.covers(bin*engine.Hz(i), width)
	}
	return covered
}

// steadyLines gives the middles of the lines that stand in nearly all frames, and
// the further multiples of what they are multiples of: nil where they have nothing
// in common. often is the number of frames in which each bin stood out.
func (o InterfererOptions) steadyLines(often []int, frames int, bin engine.Hz) mask {
	var m mask
	least := int(math.Ceil(o.Share * float64(frames)))
	for i := 0; i < len(often); i++ {
		if often[i] < least {
			continue
		}
		from := i
		for i < len(often) && often[i] >= least {
			i++
		}
		m = append(m, bin*engine.Hz(from+i-1)/2)
	}
	if len(m) < o.MinLines {
		return nil
	}
	series := o.series(m, bin*engine.Hz(len(often)))
	if series == nil {
		return nil
	}
	return append(m, series...)
}

// series gives the multiples, up to a highest frequency, of what the lines of a
// mask are multiples of: those of a machine are, and the higher ones of them stand
// out too seldom to be in the mask.
func (o InterfererOptions) series(m mask, top engine.Hz) (all mask) {
	const first, parts = 5, 3 // multiples asked for; a line may be as high a one
	for _, l := range m {
		for part := range parts {
			f := l / engine.Hz(part+1)
			on := 0
			for k := range first {
				if m.covers(f*engine.Hz(k+1), o.Tolerance) {
					on++
				}
			}
			if f >= o.Slow && on >= o.MinLines {
				all = append(all, o.multiples(m, f, top)...)
			}
		}
	}
	return all
}

// multiples gives the multiples of a frequency up to a highest one. Each line of
// the mask on the way corrects the next.
func (o InterfererOptions) multiples(m mask, f, top engine.Hz) (all mask) {
	for k := engine.Hz(1); k*f <= top; k++ {
		at := k * f
		for _, l := range m {
			if math.Abs(float64(l-at)) <= float64(o.Tolerance) {
				at = l
			}
		}
		all = append(all, at)
		f = at / k
	}
	return all
}

// choose gives the points of the engine that is meant, which answers to its
// throttle: of points that were read with the steady lines and without them.
// Without them it must be read as before where it is the louder one, and give way
// only to readings that were of the steady lines, or it is believed in such
// stretches alone, which it puts into with. Lines of its own idle cannot stand all
// along a clip of which a good part is spent at other speeds.
func (o InterfererOptions) choose(without, with []Point, m mask, order float64) []Point {
	var n, all, same int
	lo, hi := engine.RPM(math.Inf(1)), engine.RPM(0)
	for i, p := range without {
		if p.Speed.Told() {
			n++
			lo, hi = min(lo, p.Speed), max(hi, p.Speed)
		}
		if with[i].Speed.Told() {
			all++
		}
		if sameSpeed(with[i], p, sameReading) {
			same++
		}
	}
	if float64(n) < o.Keeps*float64(all) || float64(same) < o.Same*float64(all) || float64(hi) <= o.Moves*float64(lo) {
		return with
	}
	if o.wereOf(m, with, without, order) {
		keepFaster(without, with)
		return without
	}
	for a := 0; a < len(with); a++ {
		b := a
		for b < len(with) && !sameSpeed(with[b], without[b], sameReading) {
			b++
		}
		if o.wereOf(m, with[a:b], without[a:b], order) {
			copy(with[a:b], without[a:b])
		}
		a = b
	}
	return with
}

const sameReading = 0.05 // of ln speed

// keepFaster puts into points those of others that are a multiple of theirs and faster
// than all of them: which of the two is right the mask does not tell, and a top that is
// too slow is the worse mistake.
func keepFaster(ps, others []Point) {
	var top engine.RPM
	for _, p := range ps {
		top = max(top, p.Speed)
	}
	for i, p := range others {
		if p.Speed > top && ofSameLines(p, ps[i]) {
			ps[i] = p
		}
	}
}

// wereOf reports whether readings that change without the lines of a mask were
// readings of those lines, most of them. Where nothing was read there is nothing to
// lose; what else changes to a multiple says neither, and is no reason by itself.
func (o InterfererOptions) wereOf(m mask, with, without []Point, order float64) bool {
	var changed, owned, multiples int
	for i, p := range with {
		switch {
		case !p.Speed.Told() || sameSpeed(p, without[i], sameReading):
		case o.owns(m, p.Speed.Hz()*engine.Hz(order)):
			owned, changed = owned+1, changed+1
		case ofSameLines(p, without[i]):
			multiples++
		default:
			changed++
		}
	}
	if changed == 0 {
		return multiples == 0
	}
	return float64(owned) >= o.Owned*float64(changed)
}

// ofSameLines reports whether two speeds are of the same lines, by firing periods of
// their own: which of them is right is another matter than whose lines they are.
func ofSameLines(a, b Point) bool {
	const within = 0.02 // of ln speed
	for m := 1; m <= MaxPeriod; m++ {
		for n := 1; n <= MaxPeriod; n++ {
			multiple := Point{Speed: b.Speed * engine.RPM(m) / engine.RPM(n)}
			if m != n && sameSpeed(a, multiple, within) {
				return true
			}
		}
	}
	return false
}

// owns reports whether a firing frequency is that of the lines of a mask: two
// of its first three multiples lie on them.
func (o InterfererOptions) owns(m mask, f engine.Hz) bool {
	on := 0
	for k := engine.Hz(1); k <= 3; k++ {
		if m.covers(k*f, o.Near) {
			on++
		}
	}
	return on >= 2
}

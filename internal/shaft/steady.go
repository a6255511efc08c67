package shaft

import (
	"math"

	"topnote/internal/unit"
)

// SteadyOptions says what is taken for the lines of something that does not
// obey the throttle: a second engine, a pump, a saw bench next door.
type SteadyOptions struct {
	Level unit.Decibel // a line stands this far over the floor
	Share float64      // in this share of the frames
	Least int          // lines, under which there is nothing worth masking
	Width unit.Hz      // masked either side of a line
	Keeps float64      // share of the told points that must be told without them
	Same  float64      // share of the told points that must be read as before
	Moves float64      // and the speed must then range over this ratio
	Owned float64      // share of the readings that change which must have been of those lines
	Near  unit.Hz      // how near a reading's order is to a line that it is of
}

// mask is a set of frequencies that are not looked at; nil is empty.
type mask []unit.Hz

// covers reports whether a frequency lies within width of one of the mask.
func (m mask) covers(f, width unit.Hz) bool {
	for _, l := range m {
		if math.Abs(float64(f-l)) <= float64(width) {
			return true
		}
	}
	return false
}

// steadyLines gives the middles of the lines that stand in nearly all frames.
// often is the number of frames in which each bin stood out.
func (o SteadyOptions) steadyLines(often []int, frames int, bin unit.Hz) mask {
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
		m = append(m, bin*unit.Hz(from+i-1)/2)
	}
	if len(m) < o.Least {
		return nil
	}
	return m
}

// better reports whether the points that were read without the steady lines
// are those of the engine that is meant: one that answers to its throttle, is
// read as before where it is the louder one, and gives way only to readings
// that were of the steady lines. Lines of its own idle cannot stand all along
// a clip of which a good part is spent at other speeds.
func (o SteadyOptions) better(without, with []Point, m mask, order float64) bool {
	const sameReading = 0.05 // of ln speed
	var n, all, same, changed, owned int
	lo, hi := unit.RPM(math.Inf(1)), unit.RPM(0)
	for i, p := range without {
		if p.Speed.Told() {
			n++
			lo, hi = min(lo, p.Speed), max(hi, p.Speed)
		}
		before := with[i].Speed
		if !before.Told() {
			continue
		}
		all++
		switch {
		case together(with[i], p, sameReading):
			same++
		case o.owns(m, before.Hz()*unit.Hz(order)):
			owned++
			fallthrough
		default:
			changed++
		}
	}
	return float64(n) >= o.Keeps*float64(all) && float64(same) >= o.Same*float64(all) &&
		float64(hi) > o.Moves*float64(lo) && float64(owned) >= o.Owned*float64(changed)
}

// owns reports whether a firing frequency is that of the lines of a mask: two
// of its first three multiples lie on them.
func (o SteadyOptions) owns(m mask, f unit.Hz) bool {
	on := 0
	for k := unit.Hz(1); k <= 3; k++ {
		if m.covers(k*f, o.Near) {
			on++
		}
	}
	return on >= 2
}

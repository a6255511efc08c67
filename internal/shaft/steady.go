package shaft

import (
	"math"

	"topnote/internal/unit"
)

// SteadyOptions says what is taken for the lines of something that does not
// obey the throttle: a second engine, a pump, a saw bench next door.
type SteadyOptions struct {
	Level  unit.Decibel // a line stands this far over the floor
	Share  float64      // in this share of the frames
	Least  int          // lines, under which there is nothing worth masking
	Width  unit.Hz      // masked either side of a line
	Keeps  float64      // share of the told points that must be told without them
	Moves  float64      // and the speed must then range over this ratio
	Leap   float64      // d ln f / dt, 1/s, that no shaft reaches
	LeapIn unit.Seconds // over this time
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
// are those of the engine that is meant. The mark of two engines is a reading
// that leaps from one to the other as no shaft can; without the lines of the
// steady one there are fewer leaps, and there is still an engine, which answers
// to a throttle and is mostly the one that was read before.
func (o SteadyOptions) better(without, with []Point, hop unit.Seconds) bool {
	const sameReading = 0.05 // of ln speed
	var n, all, same int
	lo, hi := unit.RPM(math.Inf(1)), unit.RPM(0)
	for i, p := range without {
		if with[i].Speed.Told() {
			all++
		}
		if p.Speed.Told() {
			if math.Abs(math.Log(float64(p.Speed/with[i].Speed))) < sameReading {
				same++
			}
			n++
			lo, hi = min(lo, p.Speed), max(hi, p.Speed)
		}
	}
	return 2*same >= n && o.leaps(without, hop) < o.leaps(with, hop) &&
		float64(n) >= o.Keeps*float64(all) && float64(hi) > o.Moves*float64(lo)
}

// leaps counts the places where the reading changes faster than a shaft can.
func (o SteadyOptions) leaps(ps []Point, hop unit.Seconds) (n int) {
	last := -1
	for i, p := range ps {
		if !p.Speed.Told() {
			continue
		}
		if last >= 0 {
			gap := float64(hop) * float64(i-last)
			if math.Abs(math.Log(float64(p.Speed/ps[last].Speed))) > o.Leap*max(gap, float64(o.LeapIn)) {
				n++
			}
		}
		last = i
	}
	return n
}

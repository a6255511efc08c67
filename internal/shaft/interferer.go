package shaft

import (
	"math"

	"topnote/internal/engine"
)

// InterfererOptions says what is taken for the lines of an interferer, which does not
// follow the throttle: a second engine, a pump, a saw bench next door.
type InterfererOptions struct {
	Level          engine.Decibel // of a line over the floor
	Share          float64        // of the frames in which it has that level
	MinLines       int            // lines, and multiples in a series, under which nothing is masked
	MinFundamental engine.Hz      // of a series: closer lines would leave nothing
	MaskWidth      engine.Hz      // on either side of a line
	Tolerance      engine.Hz      // of a multiple from a line of its series; of an order of a reading, twice that

	// The readings without the lines are used only where these hold.
	MinSame  float64 // share of the told points that have the same speed without them
	MinRange float64 // highest over lowest speed without them
}

// defaultInterferer gives the options in use, by the prominence of a clear line, the
// window of the frames, and the share of the top under which there are idles.
func defaultInterferer(clear engine.Decibel, window engine.Seconds, maxIdle float64) InterfererOptions {
	const bins = 2.5 // half the main lobe of a Hann window, and half a bin
	width := bins / engine.Hz(window)
	return InterfererOptions{
		Level: clear, Share: 0.85, MinLines: 3, MinFundamental: 2 * width, MaskWidth: width, Tolerance: 4,
		MinSame: 0.25, MinRange: 1 / maxIdle,
	}
}

// mask is a set of frequencies that are not used; nil is empty.
type mask []engine.Hz

// covers reports whether a frequency is within width of one of the mask.
func (m mask) covers(f, width engine.Hz) bool {
	for _, l := range m {
		if math.Abs(float64(f-l)) <= float64(width) {
			return true
		}
	}
	return false
}

// bins reports for each of n bins whether it is within width of a frequency of the
// mask.
func (m mask) bins(n int, bin, width engine.Hz) []bool {
	covered := make([]bool, n)
	for i := range covered {
		covered[i] = m.covers(bin*engine.Hz(i), width)
	}
	return covered
}

// steadyLines gives the middles of the lines that are prominent in nearly all frames,
// and the further multiples of their fundamental: nil where they have none. count is
// the number of frames in which each bin was prominent.
func (o InterfererOptions) steadyLines(count []int32, frames int, bin engine.Hz) mask {
	var m mask
	least := int32(math.Ceil(o.Share * float64(frames)))
	for i := 0; i < len(count); i++ {
		if count[i] < least {
			continue
		}
		from := i
		for i < len(count) && count[i] >= least {
			i++
		}
		m = append(m, bin*engine.Hz(from+i-1)/2)
	}
	if len(m) < o.MinLines {
		return nil
	}
	series := o.series(m, bin*engine.Hz(len(count)))
	if series == nil {
		return nil
	}
	return append(m, series...)
}

// series gives the multiples, up to a highest frequency, of the fundamentals of the
// lines of a mask: the lines of a machine have one, and its higher multiples are
// prominent too seldom to be in the mask.
func (o InterfererOptions) series(m mask, top engine.Hz) (all mask) {
	const first = 5 // multiples that are looked for
	for _, l := range m {
		for part := range o.MinLines { // highest multiple that a line of the mask may be
			f := l / engine.Hz(part+1)
			on := 0
			for k := range first {
				if m.covers(f*engine.Hz(k+1), o.Tolerance) {
					on++
				}
			}
			if f >= o.MinFundamental && on >= o.MinLines {
				all = append(all, o.multiples(m, f, top)...)
			}
		}
	}
	return all
}

// multiples gives the multiples of a frequency up to a highest one. Each line of the
// mask on the way corrects the next.
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

// owns reports whether a firing frequency has the lines of a mask: two of its first
// three multiples are on them.
func (o InterfererOptions) owns(m mask, f engine.Hz) bool {
	on := 0
	for k := engine.Hz(1); k <= engine.Hz(o.MinLines); k++ {
		if m.covers(k*f, 2*o.Tolerance) {
			on++
		}
	}
	return on >= 2
}

package clip

import (
	"cmp"
	"math"
	"slices"

	"topnote/internal/engine"
)

// choose says which channels are measured: all of them as an even mix, less
// those that would make it worse. Each lane holds the same stretch of sound in
// its queue, and has measured frames samples of the file: a block more.
//
// In this order: dead channels go; then those that are clipped while another is
// clean; then those too weak to help; and if what is left cancels itself when
// mixed, only the strongest stays. An engine is heard by all microphones of a
// phone alike and their noise is not, so a mix is the better clip otherwise.
//
// Levels are those of the difference from sample to sample: it leaves out wind,
// handling and offset below the engine's lines, which differ between microphones.
func choose(lanes []*channelPipeline, frames int64, o Options) (keep []*channelPipeline, remarks []string) {
	c := choice{keep: slices.Clone(lanes)}
	for _, l := range lanes {
		c.power = append(c.power, differencePower([]*channelPipeline{l}))
	}

	top := c.power[c.strongest().channel]
	c.leave(remarkDead, func(l *channelPipeline) bool { return c.power[l.channel] < top*ratio(-o.DeadBelow) })

	least := slices.MinFunc(c.keep, func(a, b *channelPipeline) int { return cmp.Compare(a.clipped, b.clipped) })
	c.leave(remarkClipped, func(l *channelPipeline) bool {
		return 100*float64(l.clipped) > o.ClippedOver*float64(frames) &&
			float64(l.clipped) > o.ClippedTimes*float64(least.clipped)
	})

	top = c.power[c.strongest().channel]
	c.leave(remarkWeak, func(l *channelPipeline) bool { return c.power[l.channel] < top*ratio(-o.WeakBelow) })

	var sum float64
	for _, l := range c.keep {
		sum += c.power[l.channel]
	}
	n := float64(len(c.keep))
	if unrelated := sum / (n * n); differencePower(c.keep) < unrelated*ratio(-o.CancelBelow) {
		best := c.strongest()
		c.keep = []*channelPipeline{best}
		c.remarks = append(c.remarks, remarkCancel(best.channel))
	}
	return c.keep, c.remarks
}

// choice is the state of choose: it keeps at least one lane.
type choice struct {
	keep    []*channelPipeline
	power   []float64 // differencePower by channel
	remarks []string
}

func (c *choice) strongest() *channelPipeline {
	return slices.MaxFunc(c.keep, func(a, b *channelPipeline) int {
		return cmp.Compare(c.power[a.channel], c.power[b.channel])
	})
}

// leave leaves out the lanes that are bad, and says why.
func (c *choice) leave(why string, bad func(l *channelPipeline) bool) {
	c.keep = slices.DeleteFunc(c.keep, func(l *channelPipeline) bool {
		if bad(l) {
			c.remarks = append(c.remarks, remarkLeftOut(l.channel, why))
			return true
		}
		return false
	})
}

// differencePower gives the mean square of the difference from sample to sample
// of the mix of lanes; 0 for fewer than two samples.
func differencePower(lanes []*channelPipeline) float64 {
	n := len(lanes[0].waiting())
	if n < 2 {
		return 0
	}
	var sum, before float64
	for i := range n {
		v := mixed(lanes, i)
		if i > 0 {
			sum += (v - before) * (v - before)
		}
		before = v
	}
	return sum / float64(n-1)
}

// mixed gives sample i of the even mix of what waits in lanes.
func mixed(lanes []*channelPipeline, i int) float64 {
	var v float64
	for _, l := range lanes {
		v += float64(l.waiting()[i])
	}
	return v / float64(len(lanes))
}

// ratio turns a level into a ratio of powers.
func ratio(level engine.Decibel) float64 { return math.Pow(10, float64(level)/10) }

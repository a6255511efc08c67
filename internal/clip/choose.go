package clip

import (
	"cmp"
	"math"
	"slices"

	"topnote/internal/engine"
)

// choose selects the channels that are measured, as an even mix: all but those
// that would make it worse. The queues of all channels cover the same time;
// frames is the number of samples of the file that have been metered.
//
// In this order it excludes dead channels, then those that are clipped while
// another is clean, then those too weak to improve the mix; and if the rest cancel
// when mixed, all but the strongest. Otherwise a mix is better than one channel,
// since the engine is the same in all microphones of a phone and their noise is
// not.
//
// Levels are those of the first difference, which suppresses what lies below the
// engine's lines and differs between microphones: wind, handling and offset.
func choose(pipelines []*channelPipeline, frames int64, o Options) (keep []*channelPipeline, remarks []string) {
	c := choice{keep: slices.Clone(pipelines)}
	for _, l := range pipelines {
		c.power = append(c.power, differencePower([]*channelPipeline{l}))
	}

	top := c.power[c.strongest().channel]
	c.exclude(remarkDead, func(l *channelPipeline) bool { return c.power[l.channel] < top*ratio(-o.DeadBelow) })

	least := slices.MinFunc(c.keep, func(a, b *channelPipeline) int { return cmp.Compare(a.clipped, b.clipped) })
	c.exclude(remarkClipped, func(l *channelPipeline) bool {
		return 100*float64(l.clipped-least.clipped) > o.SpoiltOver*float64(frames)
	})

	top = c.power[c.strongest().channel]
	c.exclude(remarkWeak, func(l *channelPipeline) bool { return c.power[l.channel] < top*ratio(-o.WeakBelow) })

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

// choice is the state of choose. It always keeps at least one channel.
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

// exclude leaves out the channels that are bad, with a remark that says why.
func (c *choice) exclude(why string, bad func(l *channelPipeline) bool) {
	c.keep = slices.DeleteFunc(c.keep, func(l *channelPipeline) bool {
		if bad(l) {
			c.remarks = append(c.remarks, remarkLeftOut(l.channel, why))
			return true
		}
		return false
	})
}

// differencePower gives the mean square of the first difference of the even mix of
// channels; 0 for fewer than two samples.
func differencePower(pipelines []*channelPipeline) float64 {
	n := len(pipelines[0].waiting())
	if n < 2 {
		return 0
	}
	var sum, before float64
	for i := range n {
		v := mixed(pipelines, i)
		if i > 0 {
			sum += (v - before) * (v - before)
		}
		before = v
	}
	return sum / float64(n-1)
}

// mixed gives sample i, of those not read yet, of the even mix of channels.
func mixed(pipelines []*channelPipeline, i int) float64 {
	var v float64
	for _, l := range pipelines {
		v += float64(l.waiting()[i])
	}
	return v / float64(len(pipelines))
}

// ratio turns a level into a ratio of powers.
func ratio(level engine.Decibel) float64 { return math.Pow(10, float64(level)/10) }

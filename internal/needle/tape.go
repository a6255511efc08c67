package needle

import (
	"math"
	"slices"

	"topnote/internal/engine"
)

// tapeLength is how much of the sound is kept for the rows, at least: an opening lasts
// seconds. Of a longer one the end is measured. A little more is kept, so that the
// rest is not moved at each block.
const tapeLength, tapeSlack engine.Seconds = 45, 5

// tape keeps the end of the sound as it was read, in 16 bits.
type tape struct {
	frames         func([]int16, int, int) error // also given each block; nil: none
	err            error                         // of frames
	rate, channels int
	kept           []int16 // interleaved by channel, the newest last
	dropped        int64   // frames before kept
	block          []int16
}

func newTape(o Options, frames func([]int16, int, int) error) *tape {
	t := &tape{frames: frames, rate: o.Rate, channels: o.Channels}
	t.kept = make([]int16, 0, t.samples(tapeLength+tapeSlack)+t.samples(Block)*2)
	return t
}

// samples gives the samples of all channels in a time.
func (t *tape) samples(s engine.Seconds) int { return int(float64(s)*float64(t.rate)) * t.channels }

// add takes the next frames.
func (t *tape) add(frames []float32) {
	t.block = t.block[:0]
	for _, v := range frames {
		code := math.Round(float64(v) * (1 << 15))
		t.block = append(t.block, int16(min(max(code, math.MinInt16), math.MaxInt16)))
	}
	if len(t.kept) >= t.samples(tapeLength+tapeSlack) {
		n := len(t.kept) - t.samples(tapeLength)
		t.dropped += int64(n / t.channels)
		t.kept = t.kept[:copy(t.kept, t.kept[n:])]
	}
	t.kept = append(t.kept, t.block...)
	if t.frames != nil && t.err == nil {
		t.err = t.frames(t.block, t.rate, t.channels)
	}
}

// heard gives how much sound there was so far.
func (t *tape) heard() engine.Seconds {
	return engine.Seconds(float64(t.dropped+int64(len(t.kept)/t.channels)) / float64(t.rate))
}

// cut gives the sound between two times, as far as it is still kept.
func (t *tape) cut(from, to engine.Seconds) []int16 {
	at := func(s engine.Seconds) int {
		i := int64(math.Round(float64(min(s, t.heard()))*float64(t.rate))) - t.dropped
		return int(min(max(i, 0), int64(len(t.kept)/t.channels)))
	}
	a := at(from)
	b := max(a, at(to))
	return slices.Clone(t.kept[a*t.channels : b*t.channels])
}

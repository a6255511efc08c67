package live

import (
	"math"

	"topnote/internal/clip"
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

// start tells what the sound is, before the first frame.
func (t *tape) start(rate, channels int) {
	t.rate, t.channels = rate, channels
	t.kept = make([]int16, 0, t.samples(tapeLength+tapeSlack)+t.samples(block)*2)
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
	if t.rate == 0 {
		return 0
	}
	return engine.Seconds(float64(t.dropped+int64(len(t.kept)/t.channels)) / float64(t.rate))
}

// wav gives the sound between two times, as far as it is still kept, as a WAV file.
func (t *tape) wav(from, to engine.Seconds) []byte {
	at := func(s engine.Seconds) int {
		i := int64(math.Round(float64(min(s, t.heard()))*float64(t.rate))) - t.dropped
		return int(min(max(i, 0), int64(len(t.kept)/t.channels)))
	}
	a := at(from)
	b := max(a, at(to))
	return clip.WAVOf(t.kept[a*t.channels:b*t.channels], t.rate, t.channels)
}

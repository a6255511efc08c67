package quality

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// hummed is so many samples of a low tone that is made as it is read.
type hummed int

func (h hummed) Len() int { return int(h) }

func (h hummed) Segment(buf []float32, from, to int) ([]float32, error) {
	buf = slices.Grow(buf[:0], to-from)[:to-from]
	for i := range buf {
		buf[i] = float32(0.1 * math.Sin(2*math.Pi*60*float64(from+i)/float64(rate)))
	}
	return buf, nil
}

// TestAssessMemory: assessing does not keep the sound: what it takes grows with the
// sound by less than a tenth of the samples. Most of that is how loud each fifth of
// a second is.
func TestAssessMemory(t *testing.T) {
	takes := func(n int) int {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		s := &clip.Sound{Rate: rate, Samples: hummed(n * 60 * int(rate))}
		must(assess(s, shaft.Track{Hop: 0.02}, engine.TwoStrokeSingle))
		runtime.ReadMemStats(&after)
		return int(after.TotalAlloc - before.TotalAlloc)
	}
	const minutes, sampleSize = 5, 4 // bytes
	most := 60 * int(rate) * sampleSize / 10
	one, more := takes(1), takes(1+minutes)
	t.Logf("a minute takes %d bytes, %d take %d", one, 1+minutes, more)
	if (more-one)/minutes > most {
		t.Errorf("each minute takes %d bytes more, want less than %d", (more-one)/minutes, most)
	}
}

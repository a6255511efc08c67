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

// TestAssessMemory: what assessing takes does not grow with the sound, but for
// how loud each fifth of a second is: a minute of samples is 1.9 MB, of levels 5 kB,
// which are sorted and moved a few times.
func TestAssessMemory(t *testing.T) {
	takes := func(minutes int) int {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		s := &clip.Sound{Rate: rate, Samples: hummed(minutes * 60 * int(rate))}
		must(assess(s, shaft.Track{Hop: 0.02}, engine.TwoStrokeSingle))
		runtime.ReadMemStats(&after)
		return int(after.TotalAlloc - before.TotalAlloc)
	}
	const most = 60_000 // bytes a minute
	if one, eleven := takes(1), takes(11); (eleven-one)/10 > most {
		t.Errorf("a minute takes %d bytes, eleven take %d", one, eleven)
	} else {
		t.Logf("a minute takes %d bytes, eleven take %d", one, eleven)
	}
}

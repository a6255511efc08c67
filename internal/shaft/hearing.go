package shaft

import (
	"math"

	"topnote/internal/dsp"
)

// hearing is what is heard of a block without a spectrum.
type hearing struct {
	hiss  []float32 // as envelope gives it
	level []float64 // of the sound in each hop and the next, dB
	under []float64 // decibels that each hop is under the loud parts of the block
	quiet float64   // the same, of its quiet parts
}

// hear goes through a block of so many hops once, for all that is heard without a
// spectrum.
func (f *follower) hear(x []float32, hops int) hearing {
	const atOnce = 1000 // samples: what is kept of them stays in the cache of a processor
	meter := newEnvelopeMeter(f.rate, f.o.Hiss, f.o.Envelope.Decimation)
	trio := dsp.Trio{One: dsp.NewHighPass(f.o.Calls.From, f.rate, math.Sqrt2/2), Two: [2]dsp.Biquad(meter.filter)}
	long := newEnergyAround(int(math.Round(float64(f.o.Spectra[len(f.o.Spectra)-1].Window)*float64(f.rate)/2)), hops)
	short := newEnergyAround(int(float64(f.o.Hop)*float64(f.rate)), hops)
	hiss, two := make([]float32, 0, len(x)/meter.decimation+1), make([]float64, atOnce)
	for n := 0; ; n += atOnce {
		part := x[min(n, len(x)):min(n+atOnce, len(x))]
		trio.Run(part, long.next(len(part)), short.next(len(part)), two)
		hiss = meter.add(hiss, two[:len(part)])
		long.levels(f, len(x))
		short.levels(f, len(x))
		if n+atOnce >= len(x) {
			break
		}
	}
	h := hearing{hiss: append(hiss, 0), level: short.level}
	h.under, h.quiet = underLoud(long.level)
	return h
}

// energyAround measures the level of a sound within so many samples of each hop.
type energyAround struct {
	half  int
	upTo  []float64 // energy up to each sample from first on
	first int
	level []float64 // dB, of the hops so far; there is room for all
}

func newEnergyAround(half, hops int) *energyAround {
	return &energyAround{half: half, upTo: make([]float64, 2*half+1), first: -2 * half, level: make([]float64, 0, hops)}
}

// next forgets what no hop reaches back to any more, and gives room for the energies up
// to the next k samples.
func (e *energyAround) next(k int) []float64 {
	kept := 2*e.half + 1
	e.first += len(e.upTo) - kept
	copy(e.upTo, e.upTo[len(e.upTo)-kept:])
	if e.upTo = e.upTo[:kept]; cap(e.upTo) < kept+k {
		e.upTo = append(make([]float64, 0, kept+k), e.upTo...)
	}
	e.upTo = e.upTo[:kept+k]
	return e.upTo[kept:]
}

// levels appends the levels of the hops that end in the samples so far, of so many in all.
func (e *energyAround) levels(f *follower, samples int) {
	for i := len(e.level); i < cap(e.level); i++ {
		c := f.centre(i, f.rate)
		hi := min(samples, c+e.half)
		lo := min(max(0, c-e.half), hi)
		if hi >= e.first+len(e.upTo) {
			return
		}
		e.level = append(e.level, levelOf((e.upTo[hi-e.first]-e.upTo[lo-e.first])/float64(max(1, hi-lo))))
	}
}

package clip

import (
	"math"
	"slices"

	"topnote/internal/engine"
)

// Integrity says how far the samples of a file can be those that were recorded.
type Integrity struct {
	// SplicesPct is the share of the places at which buffers of one length meet, in
	// percent, where the signal breaks: after lost, muted or repeated buffers. 0: no
	// such length was found.
	SplicesPct float64
	// PairedPct is the share of samples that equal their neighbour, two by two, in
	// percent: two channels of one sound, labelled as one channel.
	PairedPct float64
	// RepeatedPct is the share of the sound, in percent, that repeats what was there
	// one buffer before, sample by sample: a recorder that was stuck.
	RepeatedPct float64
	// Contradicts: the header gives rates or sizes that cannot all be true.
	Contradicts bool
}

// IntegrityOptions says what is taken for a break in the signal.
type IntegrityOptions struct {
	Break                float64        // times the running level, of the third difference: a break
	MinBuffer, MaxBuffer engine.Seconds // lengths of buffers that are repeated
	MinGap               engine.Seconds // between breaks of one kind: buffers of 3 ms, one of four lost; and time constant of the running level
	MaxGap               engine.Seconds // the same: buffers of 40 ms, one of four repeated
	MinPct               float64        // of the places of the grid that must have a break
	Sigmas               float64        // standard deviations over chance, which a count of as many has where chance gives none
	Keep                 int            // breaks that are remembered
	Quiet                float64        // magnitude below which nothing is compared, since silence repeats itself: what rounding to 16 bits, half a step up or down, makes of a third difference at most
}

func defaultIntegrity() IntegrityOptions {
	return IntegrityOptions{Break: 5, MinBuffer: 0.0025, MaxBuffer: 0.045, MinGap: 0.006, MaxGap: 0.17, MinPct: 20, Sigmas: 10, Keep: 1 << 15, Quiet: 4. / (1 << 15)}
}

// integrityOf gives the worst of the channels that are used.
func integrityOf(channels []*channelPipeline) (worst Integrity) {
	for _, c := range channels {
		g := c.integrity.integrity()
		worst.SplicesPct = max(worst.SplicesPct, g.SplicesPct)
		worst.PairedPct, worst.RepeatedPct = max(worst.PairedPct, g.PairedPct), max(worst.RepeatedPct, g.RepeatedPct)
	}
	return worst
}

// integrityMeter looks at the samples of one channel as they were recorded, before
// any filter: a filter would smear what it looks for.
type integrityMeter struct {
	o          IntegrityOptions
	rate       float64
	decay      float64
	x1, x2, x3 float64  // the samples before
	level      float64  // running mean of the third difference's magnitude
	n          int64    // samples so far
	breaks     []int64  // where the signal breaks
	paired     [2]int64 // pairs of equal samples that end at an even and at an odd place
	pairs      int64    // pairs that were compared
	repeats    repeatFinder
}

func newIntegrityMeter(rate int, o IntegrityOptions) *integrityMeter {
	return &integrityMeter{repeats: newRepeatFinder(rate, o), o: o, rate: float64(rate), decay: math.Exp(-1 / (float64(o.MinGap) * float64(rate)))}
}

// add takes in the next samples. Everything is in one loop, since it sees every sample:
// what waits for the running level does not wait for the hash, nor that for it.
func (m *integrityMeter) add(x []float32) {
	warmUp := int64(m.rate / 50)
	x1, x2, x3, level, n := m.x1, m.x2, m.x3, m.level, m.n // in registers
	decay, grow, over, quiet := m.decay, 1-m.decay, m.o.Break, m.o.Quiet
	f := &m.repeats
	hash, leave, loud, soft := f.hash, f.leave, f.loud, math.Float32bits(f.quiet) // magnitudes have the order of their bits
	before, now := f.takeIn(len(x))
	before = before[:len(x)]
	now = now[:len(x)]
	last := math.Float32bits(float32(x1))
	for i, s := range x {
		bits := math.Float32bits(s)
		now[i] = bits
		hash = hash*repeatFactor + (uint64(bits) + 1 - uint64(before[i]+1)*leave)
		if bits&^(1<<31) > soft {
			loud = n
			if m.pairs++; bits == last {
				m.paired[n%2]++
			}
		}
		if hash&anchorMask == 0 && n-loud < repeatWindow {
			f.addAnchor(anchor{hash, n + 1})
		}
		v := float64(s)
		d := math.Abs(v - 3*x1 + 3*x2 - x3)
		if d > over*level && n > warmUp && d > quiet && len(m.breaks) < m.o.Keep {
			m.addBreak(n)
			d = over * level // one break does not hide the next
		}
		level = decay*level + grow*d
		last, x1, x2, x3 = bits, v, x1, x2
		n++
	}
	f.hash, f.loud = hash, loud
	m.x1, m.x2, m.x3, m.level, m.n = x1, x2, x3, level, n
}

// addBreak remembers a break, the first of several at once.
func (m *integrityMeter) addBreak(at int64) {
	hold := int64(m.rate / 1000)
	if k := len(m.breaks); k == 0 || at-m.breaks[k-1] > hold {
		m.breaks = append(m.breaks, at)
	}
}

// integrity gives what came of it.
func (m *integrityMeter) integrity() (g Integrity) {
	// As many equal neighbours at even places as at odd ones are those of a soft sound.
	more := math.Abs(float64(m.paired[0] - m.paired[1]))
	if m.pairs > int64(m.rate) && more > m.o.Sigmas*math.Sqrt(float64(m.paired[0]+m.paired[1])) {
		g.PairedPct = min(100, 100*2*more/float64(m.pairs))
	}
	g.RepeatedPct = m.repeats.pct(m.o.Sigmas)
	g.SplicesPct = m.grid()
	return g
}

// grid looks for breaks that are whole multiples of one number of samples apart: no
// engine fires that evenly. It gives the share of the places of the best such grid
// that have a break, in percent; 0 where there is none.
func (m *integrityMeter) grid() (pct float64) {
	lo, hi := int64(float64(m.o.MinGap)*m.rate), int64(float64(m.o.MaxGap)*m.rate)
	count := make([]int, hi+2) // by the distance; none has one under lo or over hi
	for i, a := range m.breaks {
		for _, b := range m.breaks[i+1:] {
			if b-a > hi {
				break
			}
			if b-a >= lo {
				count[b-a]++
			}
		}
	}
	type lag struct {
		d int64
		n int
	}
	var lags []lag
	for d := max(lo, 1); d <= hi; d++ {
		if n := count[d]; n > 0 && float64(n+count[d-1]+count[d+1]) >= m.o.Sigmas/2 {
			lags = append(lags, lag{d, n})
		}
	}
	slices.SortFunc(lags, func(a, b lag) int {
		if a.n != b.n {
			return b.n - a.n
		}
		return int(a.d - b.d)
	})
	for _, l := range lags[:min(len(lags), 8)] {
		pct = max(pct, m.fold(l.d))
	}
	return pct
}

// fold gives the share of the places of a grid of so many samples that have a break,
// in percent, for the best phase; 0 where that is no more than chance.
func (m *integrityMeter) fold(d int64) float64 {
	phase := make([]int, d)
	for _, b := range m.breaks {
		phase[b%d]++
	}
	best := 0
	for p, n := range phase {
		if n > 0 {
			best = max(best, n+phase[(int64(p)+1)%d]+phase[(int64(p)+d-1)%d])
		}
	}
	places := float64(m.n) / float64(d)
	chance := 3 * float64(len(m.breaks)) / float64(d) // breaks at one phase, of three neighbouring ones
	pct := 100 * float64(best) / places
	if float64(best)-chance < m.o.Sigmas*math.Sqrt(chance+1) || pct < m.o.MinPct {
		return 0
	}
	return min(100, pct)
}

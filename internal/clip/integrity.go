package clip

import (
	"math"
	"math/bits"
	"slices"

	"topnote/internal/dsp"
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
// any filter: a filter would smear what it looks for. It takes eight samples together,
// and leaves up to seven at the end of the sound out.
type integrityMeter struct {
	o      IntegrityOptions
	rate   float64
	recent []float32 // the samples before those that come, and what is left over of these

	decay  float64 // of the running level in a sample
	eight  float64 // the same in eight
	weight [dsp.AtOnce]float64
	rough  []dsp.Roughness
	level  float64 // running mean of the third difference's magnitude

	n       int64   // samples so far
	breaks  []int64 // where the signal breaks
	marks   []dsp.Marks
	paired  [2]int64 // pairs of equal samples that end at an even and at an odd place
	pairs   int64    // pairs that were compared
	repeats repeatFinder
}

func newIntegrityMeter(rate int, o IntegrityOptions) *integrityMeter {
	m := &integrityMeter{
		o: o, rate: float64(rate), recent: make([]float32, repeatWindow), decay: math.Exp(-1 / (float64(o.MinGap) * float64(rate))),
		repeats: newRepeatFinder(rate, o),
	}
	m.eight = math.Pow(m.decay, dsp.AtOnce)
	for i := range m.weight {
		m.weight[i] = (1 - m.decay) * math.Pow(m.decay, float64(dsp.AtOnce-1-i))
	}
	return m
}

// add takes in the next samples.
func (m *integrityMeter) add(x []float32) {
	m.recent = append(m.recent, x...)
	eights := (len(m.recent) - repeatWindow) / dsp.AtOnce
	m.rough, m.marks = slices.Grow(m.rough[:0], eights)[:eights], slices.Grow(m.marks[:0], eights)[:eights]
	dsp.Rough(m.rough, m.recent[repeatWindow-3:], &m.weight)
	dsp.Mark(m.marks, m.recent[repeatWindow-1:], float32(m.o.Quiet))
	for k, r := range m.rough {
		if r.Most > m.o.Quiet && r.Most > m.o.Break*m.eight*m.level { // else no difference is a break, whatever the level becomes
			m.each(k)
		} else {
			m.level = m.eight*m.level + r.Sum
		}
	}
	for k, v := range m.marks {
		m.count(v)
		for b := v.Chosen() & v.Loud(); b != 0; b &= b - 1 {
			at := dsp.AtOnce*k + bits.TrailingZeros8(b)
			m.repeats.add(m.recent[at+1:], m.n+int64(at))
		}
	}
	done := dsp.AtOnce * eights
	m.n += int64(done)
	m.recent = m.recent[:copy(m.recent, m.recent[done:])]
}

// each looks at each third difference of the kth eight samples.
func (m *integrityMeter) each(k int) {
	const warmUp = 0.02 // s
	for i := dsp.AtOnce * k; i < dsp.AtOnce*(k+1); i++ {
		d, n := dsp.ThirdDifference((*[4]float32)(m.recent[repeatWindow-3+i:])), m.n+int64(i)
		if most := m.o.Break * m.level; d > most && n > int64(warmUp*m.rate) && d > m.o.Quiet && len(m.breaks) < m.o.Keep {
			m.addBreak(n)
			d = most // one break does not hide the next
		}
		m.level = m.decay*m.level + (1-m.decay)*d
	}
}

// count counts the pairs of equal samples among eight, the first of which is at an even
// place.
func (m *integrityMeter) count(v dsp.Marks) {
	const even = 0b01010101
	m.pairs += int64(bits.OnesCount8(v.Loud()))
	m.paired[0] += int64(bits.OnesCount8(v.Same() & even))
	m.paired[1] += int64(bits.OnesCount8(v.Same() &^ even))
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
	var often []int64 // distances, the most frequent first
	for d := max(lo, 1); d <= hi; d++ {
		if n := count[d]; n > 0 && float64(n+count[d-1]+count[d+1]) >= m.o.Sigmas/2 {
			at := len(often)
			for at > 0 && count[often[at-1]] < n {
				at--
			}
			often = slices.Insert(often, at, d)
			often = often[:min(len(often), 8)]
		}
	}
	for _, d := range often {
		pct = max(pct, m.fold(d))
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

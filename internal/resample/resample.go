// Package resample brings sound of any rate to the one that is analysed, piece by piece.
// Tones up to 3400 Hz keep their level within 0.1 dB, what would fold back is 80 dB
// down, and no time is lost. Start with Design, which makes the filters once for all
// channels of a sound, and New.
//
// Source: Kaiser 1974, by package dsp.
package resample

import (
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Rate is the rate of the sound that is analysed.
const Rate engine.Hz = 8000

// The rates that are brought to it, samples a second.
const LowestRate, HighestRate = 4000, 384000

// Filter describes the low-pass.
type Filter struct {
	// PassTo is the upper edge of the pass band; StopFrom is the lower edge of the
	// stop band, at most half of Rate. Both shrink in proportion where half
	// the rate of the sound is below StopFrom.
	PassTo, StopFrom engine.Hz
	// Attenuation is that of the stop band in the design formula, dB, over 50. The
	// filters fall short of it by up to 2 dB, so it is 4 dB above the 80 dB
	// wanted, which is below the noise of any phone.
	Attenuation engine.Decibel
	// Phases is the largest number of fractional delays that are tabulated, 2 or
	// more. Ratios that need more are interpolated linearly, with an error of
	// (pi/2/Phases)^2/8, or -118 dB at 512.
	Phases int
}

// Default gives the filter in use.
func Default() Filter {
	return Filter{PassTo: 3400, StopFrom: 4000, Attenuation: 84, Phases: 512}
}

// Filters are those of all stages. They do not change once made.
type Filters []*polyphase

// Resampler converts one channel from the rate of the file to Rate.
//
// It has at most two stages: a short filter that divides the rate by a whole
// number, then a steep filter for the rest of the ratio. The delay of both is
// removed, so that output k is at k/8000 s of the input. It is not safe for two
// goroutines.
type Resampler struct {
	stages []*stage
	zeros  []float32   // input that flushes the filters
	work   [][]float32 // output of each stage but the last, reused
}

// Design makes the filters from rate, in samples per second and from LowestRate to HighestRate, to
// Rate, with the fewest multiplications. At Rate there are none: the
// sound passes unchanged. All channels of a file share them.
func Design(rate int, f Filter) Filters {
	const target = int(Rate)
	if rate == target {
		return nil
	}
	best := []spec{oneStage(rate, 1, f)}
	for by := 2; rate/by >= target; by++ {
		if try := []spec{divide(rate, by, f), oneStage(rate, by, f)}; cost(try) < cost(best) {
			best = try
		}
	}
	filters := make(Filters, len(best))
	for i, s := range best {
		filters[i] = newPolyphase(s)
	}
	return filters
}

func New(filters Filters) *Resampler {
	r := &Resampler{zeros: make([]float32, 1024), work: make([][]float32, len(filters))}
	for _, p := range filters {
		silence := make([]float32, p.length/2-1) // before the first sample
		r.stages = append(r.stages, &stage{polyphase: p, in: silence})
	}
	return r
}

// Push takes the next samples and appends to dst the outputs that are complete.
func (r *Resampler) Push(dst, x []float32) []float32 {
	if len(r.stages) == 0 {
		return append(dst, x...)
	}
	last := len(r.stages) - 1
	for i, s := range r.stages[:last] {
		r.work[i] = s.push(r.work[i][:0], x)
		x = r.work[i]
	}
	return r.stages[last].push(dst, x)
}

// Flush appends what is still in the filters until dst is want samples long:
// beyond its end the sound is taken as silent.
func (r *Resampler) Flush(dst []float32, want int) []float32 {
	for len(dst) < want {
		dst = r.Push(dst, r.zeros)
	}
	return dst[:want]
}

// OutputLength gives the samples at Rate that cover frames at rate.
func OutputLength(frames int64, rate int) int64 {
	return (frames*int64(Rate) + int64(rate) - 1) / int64(rate)
}

// spec is what one stage has to do.
type spec struct {
	rate     float64 // in, samples per second
	up, down int     // rate out is rate * up / down, in lowest terms
	pass     float64 // upper edge of the pass band, Hz
	stop     float64 // lower edge of the stop band, Hz
	filter   Filter
}

// divide is the first stage: it keeps out of the way of the second, so only
// what would fold back below the stop edge has to go.
func divide(rate, by int, f Filter) spec {
	out := float64(rate) / float64(by)
	return spec{
		rate: float64(rate), up: 1, down: by, filter: f,
		pass: float64(f.PassTo), stop: out - float64(f.StopFrom),
	}
}

// oneStage is the last stage: from rate/by to Rate with the full
// steepness. Below twice the stop edge the band shrinks to that of the file.
func oneStage(rate, by int, f Filter) spec {
	in := float64(rate) / float64(by)
	up, down := int(Rate)*by, rate
	g := gcd(up, down)
	shrink := math.Min(1, in/2/float64(f.StopFrom))
	return spec{
		rate: in, up: up / g, down: down / g, filter: f,
		pass: shrink * float64(f.PassTo), stop: shrink * float64(f.StopFrom),
	}
}

// half is half the length of the filter, in samples of the input, rounded up so that
// the length is a multiple of eight.
func (s spec) half() int {
	width := 2 * math.Pi * (s.stop - s.pass) / s.rate
	const step = 4
	order := dsp.KaiserOrder(s.filter.Attenuation, width)
	return (order/2/step + 1) * step
}

// cost gives the multiplications for one second of sound.
func cost(stages []spec) float64 {
	var sum float64
	for _, s := range stages {
		c := s.rate * float64(s.up) / float64(s.down) * float64(2*s.half())
		if s.up > s.filter.Phases {
			c *= 2
		}
		sum += c
	}
	return sum
}

// polyphase is a filter that changes the rate by up/down. Output k is at k*down/up
// samples of the input; the filter is tabulated at evenly spaced phases between two
// samples. It does not change once made.
type polyphase struct {
	length int       // of one phase; a multiple of eight
	bank   []float32 // phases+1 filters, each of length: the last is the first, one sample on
	phases int
	up     int

	step, stepUp int // whole part of down/up, and the rest in parts of up
}

func newPolyphase(s spec) *polyphase {
	half := s.half()
	p := &polyphase{
		length: 2 * half,
		phases: min(s.up, s.filter.Phases),
		up:     s.up,
		step:   s.down / s.up,
		stepUp: s.down % s.up,
	}
	low := dsp.NewWindowedSinc((s.pass+s.stop)/2/s.rate, half, dsp.KaiserBeta(s.filter.Attenuation))
	p.bank = make([]float32, (p.phases+1)*p.length)
	for i := range p.bank {
		phase, tap := i/p.length, i%p.length
		p.bank[i] = float32(low.At(float64(half-1-tap) + float64(phase)/float64(p.phases)))
	}
	return p
}

func (p *polyphase) filter(phase int) []float32 {
	return p.bank[phase*p.length : (phase+1)*p.length]
}

// stage is a polyphase filter with the state of one channel.
type stage struct {
	*polyphase
	in    []float32 // input that is still needed, the oldest first
	start int       // index in it where the filter of the next output begins
	part  int       // time of that output after a sample, in parts of up
}

// push takes the next samples and appends to dst the outputs whose filters are
// wholly within the input so far. The order of each sum is fixed, so that the
// result does not depend on the sizes of the blocks.
func (s *stage) push(dst, x []float32) []float32 {
	s.in = append(s.in, x...)
	if s.up == 1 && s.start+s.length <= len(s.in) { // one filter for all outputs
		n := 1 + (len(s.in)-s.start-s.length)/s.step
		had := len(dst)
		dst = slices.Grow(dst, n)[:had+n]
		dsp.Dots32(dst[had:], s.in[s.start:], s.step, s.filter(0))
		s.start += n * s.step
	}
	for s.start+s.length <= len(s.in) {
		dst = append(dst, s.next())
		s.start += s.step
		if s.part += s.stepUp; s.part >= s.up {
			s.part -= s.up
			s.start++
		}
	}
	used := min(s.start, len(s.in))
	s.in = s.in[:copy(s.in, s.in[used:])]
	s.start -= used
	return dst
}

// next gives the output at start and part.
func (s *stage) next() float32 {
	x := s.in[s.start : s.start+s.length]
	if s.phases == s.up { // each part has a filter: no division is needed
		return dsp.Dot32(x, s.filter(s.part))
	}
	at := s.part * s.phases
	phase, rest := at/s.up, at%s.up
	y := dsp.Dot32(x, s.filter(phase))
	if rest == 0 {
		return y
	}
	w := float32(rest) / float32(s.up)
	return y + w*(dsp.Dot32(x, s.filter(phase+1))-y)
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

package clip

import (
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/resample"
)

// maxMagnitude is the largest magnitude of a sample that is believed: that of
// integers of 32 bits stored as floats without scaling. Anything above is damage,
// like NaN.
const maxMagnitude = 1 << 31

// channelPipeline is one channel from the decoder to the mix: meters, resampler
// and a queue of output samples.
type channelPipeline struct {
	channel int // counted from 0
	*resample.Resampler
	measured []float32 // samples of the last block, not handed over yet
	over     []float32 // samples that were handed over, to be resampled and looked at
	queue    []float32 // at WorkingRate; from head on, not read yet
	head     int
	made     int64 // samples that have entered the queue so far

	peak      float32    // largest magnitude so far
	clipped   int64      // samples at full scale
	noNumber  int64      // samples that were no numbers, now silence
	band      *bandMeter // nil, and integrity as well: Options.SamplesOnly
	integrity *integrityMeter
}

// meter takes the samples of this channel out of a block of frames and measures
// them.
func (l *channelPipeline) meter(block []float32, f format) {
	n := len(block) / f.channels
	one := slices.Grow(l.measured[:0], n)[:n]
	if most := dsp.LargestMagnitude(block); f.channels == 1 && most < math.Float32bits(f.fullScaleFrom) {
		copy(one, block) // as nearly always: no sample is wrong or at full scale
		l.peak = max(l.peak, math.Float32frombits(most))
	} else {
		l.meterEach(one, block, f)
	}
	l.measured = one
}

// inspect looks at the samples that were handed over.
func (l *channelPipeline) inspect() {
	if l.band != nil {
		l.band.push(l.over)
		l.integrity.add(l.over)
	}
}

// meterEach is meter for samples one by one, which it writes to one.
func (l *channelPipeline) meterEach(one, block []float32, f format) {
	// Magnitudes are compared by their bits, which have the same order; NaN comes
	// last.
	const sign = 1 << 31
	most, from, to := math.Float32bits(maxMagnitude), math.Float32bits(f.fullScaleFrom), math.Float32bits(f.fullScaleTo)
	peak, clipped := math.Float32bits(l.peak), l.clipped // in registers: this loop sees every sample
	at := l.channel
	for i := range one {
		v := block[at]
		at += f.channels
		size := math.Float32bits(v) &^ sign
		if size > most {
			v, size = 0, 0
			l.noNumber++
		}
		if size >= from && size <= to {
			clipped++
		}
		peak = max(peak, size)
		one[i] = v
	}
	l.peak, l.clipped = math.Float32frombits(peak), clipped
}

// handOver hands over the samples that were measured and swaps buffers, so that the
// next block can be measured meanwhile. They are valid until the next call.
func (l *channelPipeline) handOver() {
	l.measured, l.over = l.over[:0], l.measured
}

// filter resamples the samples that were handed over into the queue.
func (l *channelPipeline) filter() {
	before := len(l.queue)
	l.queue = l.Push(l.queue, l.over)
	l.made += int64(len(l.queue) - before)
}

// finish flushes the filters, so that the queue has received total samples in all.
func (l *channelPipeline) finish(total int64) {
	l.queue = l.Flush(l.queue, len(l.queue)+int(total-l.made))
	l.made = total
}

// waiting gives the samples that have not been read yet.
func (l *channelPipeline) waiting() []float32 { return l.queue[l.head:] }

// drop takes n samples off the queue.
func (l *channelPipeline) drop(n int) {
	if l.head += n; l.head == len(l.queue) {
		l.queue, l.head = l.queue[:0], 0
	}
}

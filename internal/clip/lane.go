package clip

import (
	"math"
	"slices"
)

// maxMagnitude is the largest magnitude that a float can mean: integers of 32 bits
// stored as floats without scaling. Anything above is damage, like NaN.
const maxMagnitude = 1 << 31

// channelPipeline is the way of one channel: meters, resampler, and a queue of what has
// come out.
type channelPipeline struct {
	channel int // counted from 0
	*resampler
	measured []float32 // samples of the last block, which have not been resampled yet
	spare    []float32 // memory for those of the next
	queue    []float32 // at WorkingRate, not handed out yet from head on
	head     int
	made     int64 // samples that ever entered the queue

	peak     float32 // largest magnitude so far
	clipped  int64   // samples at the rails
	noNumber int64   // samples that were no numbers, now silence
	band     *bandMeter
}

// take picks this lane's samples out of a block of frames and measures them.
func (l *channelPipeline) take(block []float32, f format) {
	n := len(block) / f.channels
	one := slices.Grow(l.measured[:0], n)[:n]
	// Magnitudes are held against each other by their bits, which have the same
	// order; those of NaN come last.
	const sign = 1 << 31
	most, from, to := math.Float32bits(maxMagnitude), math.Float32bits(f.railFrom), math.Float32bits(f.railTo)
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
	l.peak, l.clipped, l.measured = math.Float32frombits(peak), clipped, one
	l.band.take(one)
}

// handOver gives what was measured, and makes room for the next block beside it.
// It is there until that is handed over.
func (l *channelPipeline) handOver() []float32 {
	x := l.measured
	l.measured, l.spare = l.spare[:0], x
	return x
}

// filter resamples what was handed over.
func (l *channelPipeline) filter(x []float32) {
	before := len(l.queue)
	l.queue = l.push(l.queue, x)
	l.made += int64(len(l.queue) - before)
}

// finish sends out what is still in the filters, up to total samples in all.
func (l *channelPipeline) finish(total int64) {
	l.queue = l.flush(l.queue, len(l.queue)+int(total-l.made))
	l.made = total
}

// waiting gives the samples not handed out yet.
func (l *channelPipeline) waiting() []float32 { return l.queue[l.head:] }

// drop takes n samples off the queue.
func (l *channelPipeline) drop(n int) {
	if l.head += n; l.head == len(l.queue) {
		l.queue, l.head = l.queue[:0], 0
	}
}

package clip

// loudest is the largest magnitude that a float can mean: integers of 32 bits
// stored as floats without scaling. Anything above is damage, like NaN.
const loudest = 1 << 31

// lane is the way of one channel: meters, resampler, and a queue of what has
// come out.
type lane struct {
	channel int // counted from 0
	*resampler
	queue []float32 // at WorkingRate, not handed out yet from head on
	head  int
	made  int64 // samples that ever entered the queue

	peak     float32 // largest magnitude so far
	clipped  int64   // samples at the rails
	noNumber int64   // samples that were no numbers, now silence
	band     *bandMeter
}

// take picks this lane's samples out of a block of frames, measures them and
// sends them on. scratch is overwritten; it holds one channel of the block.
func (l *lane) take(block []float32, f format, scratch []float32) {
	one := scratch[:len(block)/f.channels]
	peak, clipped := l.peak, l.clipped // in registers: this loop sees every sample
	for i := range one {
		v := block[i*f.channels+l.channel]
		size := max(v, -v)
		if !(size <= loudest) { // also true of NaN
			v, size = 0, 0
			l.noNumber++
		}
		if size >= f.railFrom && size <= f.railTo {
			clipped++
		}
		if size > peak {
			peak = size
		}
		one[i] = v
	}
	l.peak, l.clipped = peak, clipped
	l.band.take(one)

	before := len(l.queue)
	l.queue = l.push(l.queue, one)
	l.made += int64(len(l.queue) - before)
}

// finish sends out what is still in the filters, up to total samples in all.
func (l *lane) finish(total int64) {
	l.queue = l.flush(l.queue, len(l.queue)+int(total-l.made))
	l.made = total
}

// waiting gives the samples not handed out yet.
func (l *lane) waiting() []float32 { return l.queue[l.head:] }

// drop takes n samples off the queue.
func (l *lane) drop(n int) {
	if l.head += n; l.head == len(l.queue) {
		l.queue, l.head = l.queue[:0], 0
	}
}

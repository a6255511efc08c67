package synth

import (
	"math"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Tampering is a change of a recording after which its sound misleads, although it
// may seem intact.
type Tampering struct {
	Name string
	// Slowed is the share of its speed at which the sound is played, as in video
	// in slow motion; 0 or 1: as it is. Pitch falls with it.
	Slowed float64
	Paired bool    // every sample twice: two channels whose header says one
	Buffer *Buffer // pieces that are lost, muted or repeated; nil: none
	Flip   *Flip   // a bit of the WAV header that is flipped; nil: none
	// Rival is a second engine in one of two channels; 0: one channel. It is this
	// much louder there than the engine, in decibels, and as much softer, and
	// another 6 dB, in the other.
	Rival engine.Decibel
}

// Buffer says what a recorder does to its buffers.
type Buffer struct {
	Long  engine.Seconds // of one buffer
	Every int            // every Nth is hit; 0: only those from From on
	Fault Fault
	From  engine.Seconds // with Every 0: where the buffer sticks
	For   engine.Seconds // and for how long it is repeated
}

// Fault is what happens to a buffer.
type Fault string

// The faults of buffers.
const (
	Lost     Fault = "lost"     // left out: the sound grows shorter
	Muted    Fault = "muted"    // silent
	Repeated Fault = "repeated" // the one before in its place
)

// Flip is a bit of a WAV file whose data follow the 16-byte format chunk.
//
// Source of the places: Microsoft and IBM 1991, WAVE chapter: sample rate at byte 24,
// bits of a sample at byte 34, little endian.
type Flip struct {
	At   int  // byte, from 0
	Mask byte // of the bit
}

// Places in the header.
const (
	headerRate = 24
	headerBits = 34
)

// apply changes the samples; x is not changed itself.
func (t Tampering) apply(x audio.Memory, rate engine.Hz) audio.Memory {
	if t.Slowed > 0 && t.Slowed != 1 {
		x = slowed(x, t.Slowed)
	}
	if t.Buffer != nil {
		x = t.Buffer.apply(x, rate)
	}
	if t.Paired {
		out := make(audio.Memory, 2*len(x))
		for i, v := range x {
			out[2*i], out[2*i+1] = v, v
		}
		x = out
	}
	return x
}

// apply runs over the buffers of x.
func (b Buffer) apply(x audio.Memory, rate engine.Hz) audio.Memory {
	n := max(1, int(float64(b.Long)*float64(rate)))
	first := int(float64(b.From)*float64(rate)) / n
	last := first + int(math.Ceil(float64(b.For/b.Long)))
	out := make(audio.Memory, 0, len(x))
	var before audio.Memory
	for k := 0; k*n < len(x); k++ {
		piece := x[k*n : min(len(x), (k+1)*n)]
		hit := b.Every > 0 && k%b.Every == b.Every-1 || b.Every == 0 && k > first && k <= last
		switch {
		case !hit:
			out = append(out, piece...)
			before = piece
		case b.Fault == Muted:
			out = append(out, make(audio.Memory, len(piece))...)
		case b.Fault == Repeated && len(before) >= len(piece):
			out = append(out, before[:len(piece)]...)
		}
	}
	return out
}

// slowed plays x at a share of its speed: it reads between the samples through a
// windowed sinc.
func slowed(x audio.Memory, share float64) audio.Memory {
	const reach, edge, beta = 12, 0.46, 6.0 // samples either side; half-gain point, in rates; of the window
	low := dsp.NewWindowedSinc(edge, reach, beta)
	out := make(audio.Memory, int(float64(len(x))/share))
	for i := range out {
		at := float64(i) * share
		from := int(at) - reach + 1
		y := 0.0
		for k := max(0, from); k < min(len(x), from+2*reach); k++ {
			y += float64(x[k]) * low.At(at-float64(k))
		}
		out[i] = float32(y)
	}
	return out
}

// drawTampering draws one kind of tampering; slow motion most often, since it hides
// the most.
func drawTampering(d dice, rate engine.Hz, length engine.Seconds) *Tampering {
	long := engine.Seconds(d.octaves(0.003, 0.04))
	buffers := func(f Fault) *Tampering {
		return &Tampering{Name: "buffers " + string(f), Buffer: &Buffer{Long: long, Every: 4, Fault: f}}
	}
	masks := []byte{1, 2, 4, 8, 16, 32}
	return pick(d, []weighted[*Tampering]{
		{&Tampering{Name: "slow motion", Slowed: d.slowMotion()}, 4},
		{&Tampering{Name: "pairs", Paired: true}, 2},
		{buffers(Lost), 1}, {buffers(Muted), 1}, {buffers(Repeated), 1},
		{&Tampering{Name: "stuck buffer", Buffer: &Buffer{
			Long: long, Fault: Repeated, From: length * d.seconds(0.3, 0.6), For: d.seconds(0.4, 3),
		}}, 1},
		{&Tampering{Name: "sample rate flipped", Flip: drawFlip(d, rate)}, 1},
		{&Tampering{Name: "bits of a sample flipped", Flip: &Flip{At: headerBits, Mask: masks[d.IntN(len(masks))]}}, 1},
		{&Tampering{Name: "second engine in one channel", Rival: d.level(0, 12)}, 1},
	})
}

// slowMotion draws a share of the speed: those of 240, 120 and 60 frames a second
// shown at 30, or any.
func (d dice) slowMotion() float64 {
	common := []float64{0.125, 0.25, 0.5}
	if d.chance(0.4) {
		return common[d.IntN(len(common))]
	}
	return d.octaves(0.2, 0.6)
}

// drawFlip draws a bit of the sample rate that, flipped, leaves a rate that files
// may have: 4000 to 192000 Hz. Bits under 256 Hz change it too little to matter.
func drawFlip(d dice, rate engine.Hz) *Flip {
	const least, most, lowest, highest = 4000, 192000, 8, 18
	for {
		bit := lowest + d.IntN(highest-lowest)
		if flipped := int(rate) ^ (1 << bit); flipped >= least && flipped <= most {
			return &Flip{At: headerRate + bit/8, Mask: 1 << (bit % 8)}
		}
	}
}

package spectrum

import (
	"fmt"
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// FloorOptions says how the level of the noise between the lines is estimated: by a
// running mean of the level, repeated with the peaks clipped, so that strong lines
// do not raise their own floor.
type FloorOptions struct {
	Width  engine.Hz      // of the running mean; wider than the widest line spacing wanted
	Clip   engine.Decibel // how far above the last mean a level may count
	Passes int            // 1: plain running mean
}

// DefaultFloor is the floor that levels are given over.
func DefaultFloor() FloorOptions { return FloorOptions{Width: 300, Clip: 4, Passes: 3} }

// STFT is a short-time Fourier transform: frames of a signal as levels over the
// local floor. It keeps its buffers, so it must not be used by two goroutines at
// once.
type STFT struct {
	rate      engine.Hz
	win       []float32 // of even length
	size      int       // of the transform
	bins      int       // of a frame, from 0 Hz
	fft       *dsp.RealFFT
	warps     map[float64][]float64 // by chirp rate, of those known ahead: samples from the centre on
	otherWarp []float64             // of any other
	segBuf    []float32             // a segment that is not in the signal as it is
	power     []float32
	height    []int32 // of the levels that the floor is made of
	floor     *dsp.Floor
	floorBy   FloorOptions
}

// STFTOptions describes one kind of frame.
type STFTOptions struct {
	Rate       engine.Hz
	Length     engine.Seconds // of the window
	Size       int            // of the transform, a power of two not below the window; 0: the shortest
	Top        engine.Hz      // highest frequency wanted
	Floor      FloorOptions
	ChirpRates []float64 // 1/s, that many frames are warped by; others are possible, but slower
}

// powerFloor is added to every power, far below the last bit of 16-bit sound, so
// that digital silence has a level, and a flat one.
const powerFloor = 1e-9

// NewSTFT prepares frames of one kind. It returns an error when the window does not
// fit the transform.
func NewSTFT(o STFTOptions) (*STFT, error) {
	n := int(math.Round(float64(o.Length) * float64(o.Rate)))
	if o.Size == 0 {
		o.Size = dsp.TransformSize(max(n, 1))
	}
	if n < 2 || n > o.Size {
		return nil, fmt.Errorf("spectrum: a window of %d samples does not fit a transform of %d", n, o.Size)
	}
	bin := float64(o.Rate) / float64(o.Size)
	win := dsp.Hann32(n)
	if n%2 == 1 {
		win = append(win, 0)
	}
	half := max(1, int(float64(o.Floor.Width)/bin/2)) // of the running mean
	bins := min(int(float64(o.Top)/bin)+2, o.Size/2+1)
	levels := min(bins+half+1, o.Size/2+1)
	f := &STFT{
		rate: o.Rate, win: win, size: o.Size, bins: bins, fft: dsp.NewRealFFT(o.Size),
		warps: map[float64][]float64{}, otherWarp: make([]float64, len(win)), segBuf: make([]float32, len(win)),
		power: make([]float32, o.Size/2+1), height: make([]int32, levels), floor: dsp.NewFloor(levels, half), floorBy: o.Floor,
	}
	for _, rate := range o.ChirpRates {
		f.warps[rate] = make([]float64, len(win))
		f.warpMap(f.warps[rate], rate)
	}
	return f, nil
}

// BinWidth gives the distance between neighbouring bins.
func (f *STFT) BinWidth() engine.Hz { return f.rate / engine.Hz(f.size) }

// Bins gives the number of levels in a frame.
func (f *STFT) Bins() int { return f.bins }

// Reach gives how many samples on either side of its centre a frame can need, also
// where it is warped, by a chirp rate of 1/Length at most.
func (f *STFT) Reach() int { return len(f.win) }

// Levels writes the level over the local floor, in decibels, of the frame centred on
// one sample, and returns dst. dst has shape [Bins]. Sound outside x counts as
// silence; a silent frame gives zeros.
func (f *STFT) Levels(dst []float32, x []float32, centre int) []float32 {
	return f.ChirpLevels(dst, x, centre, 0)
}

// ChirpLevels is Levels on a time axis on which a shaft whose speed changes by
// chirpRate turns evenly: d ln f / dt in 1/s.
func (f *STFT) ChirpLevels(dst []float32, x []float32, centre int, chirpRate float64) []float32 {
	if chirpRate == 0 {
		f.applyWindow(f.segment(x, centre))
	} else {
		f.applyWindow(f.warped(x, centre, chirpRate))
	}
	f.fft.PowerSpectrum(f.power)
	dsp.Heights(f.height, f.power, powerFloor)
	f.floor.Over(dst[:f.bins], f.height, int32(f.floorBy.Clip/dsp.HeightUnit), f.floorBy.Passes)
	return dst
}

// segment gives the sound around centre that the window covers.
func (f *STFT) segment(x []float32, centre int) []float32 {
	from := centre - len(f.win)/2
	if from >= 0 && from+len(f.win) <= len(x) {
		return x[from : from+len(f.win)]
	}
	clear(f.segBuf)
	if lo, hi := max(0, from), min(len(x), from+len(f.win)); lo < hi {
		copy(f.segBuf[lo-from:], x[lo:hi])
	}
	return f.segBuf
}

// warped gives that segment on a warped time axis. Linear interpolation is enough
// below a quarter of the sample rate.
func (f *STFT) warped(x []float32, centre int, chirpRate float64) []float32 {
	warp, known := f.warps[chirpRate]
	if !known {
		warp = f.otherWarp
		f.warpMap(warp, chirpRate)
	}
	dsp.LinearsAt(f.segBuf, x, centre, warp)
	return f.segBuf
}

// warpMap writes where in the sound the samples of a warped segment are.
func (f *STFT) warpMap(warp []float64, chirpRate float64) {
	for i := range warp {
		warp[i] = float64(i - len(warp)/2)
	}
	dsp.TurnTimes(warp, 1, chirpRate/float64(f.rate))
}

// applyWindow writes a segment, under the window, to the input of the transform.
func (f *STFT) applyWindow(seg []float32) {
	in := f.fft.Input()
	dsp.Windowed(in[:len(seg)/2], seg, f.win)
	clear(in[len(seg)/2:])
}

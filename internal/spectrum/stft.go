package spectrum

import (
	"fmt"
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// FloorOptions says how the level of the noise between the lines is read off a
// spectrum: a running mean of the level, repeated with what stands out of it
// cut down, so that strong lines do not lift their own floor.
type FloorOptions struct {
	Width  engine.Hz      // of the running mean; wider than the widest line spacing wanted
	Clip   engine.Decibel // how far above the last mean a level may count
	Passes int            // 1: plain running mean
}

// DefaultFloor is the floor that levels are read over.
func DefaultFloor() FloorOptions { return FloorOptions{Width: 300, Clip: 4, Passes: 3} }

// STFT turns stretches of sound into levels over the local floor. It keeps its
// buffers, so it must not be used by two goroutines at once.
type STFT struct {
	rate   engine.Hz
	win    []float64 // of even length
	size   int
	keep   int // bins given back
	half   int // half width of the running mean, bins
	floor  FloorOptions
	fft    *dsp.RealFFT
	seg    []float32           // a stretch that is not found as it is in the sound
	warps  map[float64][]place // of the slopes that are known ahead
	warp   []place             // of another
	power  []float64
	level  []float64
	capped []float64
	mean   []float64
}

// STFTOptions describes one kind of frame.
type STFTOptions struct {
	Rate   engine.Hz
	Length engine.Seconds // of the window
	Size   int            // of the transform, a power of two not below the window
	Top    engine.Hz      // highest frequency wanted
	Floor  FloorOptions
	Slopes []float64 // 1/s, that frames are warped by again and again; any other may be asked for
}

// powerFloor is added to every power, far below the last bit of 16-bit sound, so
// that digital silence has a level and lies flat.
const powerFloor = 1e-9

// NewSTFT prepares frames of one kind. It returns an error when the window
// does not fit the transform.
func NewSTFT(o STFTOptions) (*STFT, error) {
	n := int(math.Round(float64(o.Length) * float64(o.Rate)))
	if n < 2 || n > o.Size {
		return nil, fmt.Errorf("spectrum: a window of %d samples does not fit a transform of %d", n, o.Size)
	}
	bin := float64(o.Rate) / float64(o.Size)
	keep := min(int(float64(o.Top)/bin)+2, o.Size/2+1)
	win := dsp.Hann(n)
	if n%2 == 1 {
		win = append(win, 0)
	}
	p := &STFT{
		rate: o.Rate, win: win, size: o.Size, keep: keep,
		half: max(1, int(float64(o.Floor.Width)/bin/2)), floor: o.Floor,
		fft: dsp.NewRealFFT(o.Size), seg: make([]float32, len(win)),
		warps: map[float64][]place{}, warp: make([]place, len(win)),
		power: make([]float64, o.Size/2+1), level: make([]float64, o.Size/2+1),
		capped: make([]float64, o.Size/2+1), mean: make([]float64, o.Size/2+1),
	}
	for _, slope := range o.Slopes {
		p.warps[slope] = make([]place, len(win))
		p.warpMap(p.warps[slope], slope)
	}
	return p, nil
}

// BinWidth gives the distance between neighbouring bins.
func (p *STFT) BinWidth() engine.Hz { return p.rate / engine.Hz(p.size) }

// Bins gives the number of levels in a frame.
func (p *STFT) Bins() int { return p.keep }

// Reach gives how many samples on either side of its centre a frame can need,
// also where it is warped by no more than 1/Length.
func (p *STFT) Reach() int { return len(p.win) }

// Levels writes the level over the local floor, in decibels, of the frame
// centred on one sample, and returns dst. dst has shape [Bins]. Sound outside
// x counts as silence; a silent frame gives zeros.
func (p *STFT) Levels(dst []float32, x []float32, centre int) []float32 {
	return p.ChirpLevels(dst, x, centre, 0)
}

// ChirpLevels is Levels of the sound as it would be if a shaft whose speed changes
// by slope a second (natural log) turned evenly.
func (p *STFT) ChirpLevels(dst []float32, x []float32, centre int, slope float64) []float32 {
	if slope == 0 {
		p.applyWindow(p.segment(x, centre))
	} else {
		p.applyWindow(p.warped(x, centre, slope))
	}
	p.fft.PowerSpectrum(p.power)
	n := min(p.keep+p.half+1, len(p.level))
	for i, v := range p.power[:n] {
		p.level[i] = decibels(v + powerFloor)
	}
	floor := p.localFloor(n)
	for i := range dst[:p.keep] {
		dst[i] = float32(p.level[i] - floor[i])
	}
	return dst
}

// segment gives the sound around centre that the window covers.
func (p *STFT) segment(x []float32, centre int) []float32 {
	from := centre - len(p.win)/2
	if from >= 0 && from+len(p.win) <= len(x) {
		return x[from : from+len(p.win)]
	}
	clear(p.seg)
	if lo, hi := max(0, from), min(len(x), from+len(p.win)); lo < hi {
		copy(p.seg[lo-from:], x[lo:hi])
	}
	return p.seg
}

// warped is stretch on a time axis on which the shaft turns evenly. Linear
// interpolation serves below a quarter of the rate.
func (p *STFT) warped(x []float32, centre int, slope float64) []float32 {
	warp, known := p.warps[slope]
	if !known {
		warp = p.warp
		p.warpMap(warp, slope)
	}
	seg := p.seg[:len(warp)]
	for i, at := range warp {
		j := centre + at.whole
		if j < 0 || j+1 >= len(x) {
			seg[i] = 0
			continue
		}
		seg[i] = (1-at.part)*x[j] + at.part*x[j+1]
	}
	return seg
}

// place is where a sample of a warped stretch lies in the sound: whole samples, and
// a part of one, after the centre.
type place struct {
	whole int
	part  float32
}

// warpMap writes the places of the samples of a stretch that is warped by a slope.
func (p *STFT) warpMap(warp []place, slope float64) {
	for i := range warp {
		u := float64(i-len(warp)/2) / float64(p.rate)
		// The phase f(s + slope s^2/2) is to be f u.
		d := max(1+2*slope*u, 0)
		s := 2 * u / (1 + math.Sqrt(d)) * float64(p.rate)
		whole := math.Floor(s)
		warp[i] = place{int(whole), float32(s - whole)}
	}
}

// applyWindow puts a stretch under the window into the transform.
func (p *STFT) applyWindow(seg []float32) {
	in := p.fft.Input()
	win := p.win[:len(seg)]
	for i := 0; i+1 < len(seg); i += 2 {
		in[i/2] = complex(win[i]*float64(seg[i]), win[i+1]*float64(seg[i+1]))
	}
	clear(in[len(seg)/2:])
}

// localFloor gives the running mean of the first n levels with peaks cut down.
func (p *STFT) localFloor(n int) []float64 {
	dsp.RunningMean(p.mean[:n], p.level[:n], p.half)
	for range p.floor.Passes - 1 {
		for i, m := range p.mean[:n] {
			p.capped[i] = min(p.level[i], m+float64(p.floor.Clip))
		}
		dsp.RunningMean(p.mean[:n], p.capped[:n], p.half)
	}
	return p.mean[:n]
}

package spectrum

import (
	"fmt"
	"math"

	"github.com/mjibson/go-dsp/window"
	"gonum.org/v1/gonum/dsp/fourier"

	"topnote/internal/unit"
)

// FloorOptions says how the level of the noise between the lines is read off a
// spectrum: a running mean of the level, repeated with what stands out of it
// cut down, so that strong lines do not lift their own floor.
type FloorOptions struct {
	Width  unit.Hz      // of the running mean; wider than the widest line spacing wanted
	Clip   unit.Decibel // how far above the last mean a level may count
	Passes int          // 1: plain running mean
}

// DefaultFloor is the floor that levels are read over.
func DefaultFloor() FloorOptions { return FloorOptions{Width: 300, Clip: 4, Passes: 3} }

// Plan turns stretches of sound into levels over the local floor. It keeps its
// buffers, so it must not be used by two goroutines at once.
type Plan struct {
	rate   unit.Hz
	win    []float64
	size   int
	keep   int // bins given back
	half   int // half width of the running mean, bins
	floor  FloorOptions
	fft    *fourier.FFT
	seg    []float64
	coef   []complex128
	level  []float64
	capped []float64
	sums   []float64
}

// PlanOptions describes one kind of frame.
type PlanOptions struct {
	Rate   unit.Hz
	Length unit.Seconds // of the window
	Size   int          // of the transform, a power of two not below the window
	Top    unit.Hz      // highest frequency wanted
	Floor  FloorOptions
}

// silence is added to every power, far below the last bit of 16-bit sound, so
// that digital silence has a level and lies flat.
const silence = 1e-9

// NewPlan prepares frames of one kind. It returns an error when the window
// does not fit the transform.
func NewPlan(o PlanOptions) (*Plan, error) {
	n := int(math.Round(float64(o.Length) * float64(o.Rate)))
	if n < 2 || n > o.Size {
		return nil, fmt.Errorf("spectrum: a window of %d samples does not fit a transform of %d", n, o.Size)
	}
	bin := float64(o.Rate) / float64(o.Size)
	keep := min(int(float64(o.Top)/bin)+2, o.Size/2+1)
	// Overlapped frames want the periodic window: one longer, last point dropped.
	win := window.Hann(n + 1)[:n]
	return &Plan{
		rate: o.Rate, win: win, size: o.Size, keep: keep,
		half: max(1, int(float64(o.Floor.Width)/bin/2)), floor: o.Floor,
		fft: fourier.NewFFT(o.Size), seg: make([]float64, o.Size),
		coef: make([]complex128, o.Size/2+1), level: make([]float64, o.Size/2+1),
		capped: make([]float64, o.Size/2+1), sums: make([]float64, o.Size/2+2),
	}, nil
}

// BinWidth gives the distance between neighbouring bins.
func (p *Plan) BinWidth() unit.Hz { return p.rate / unit.Hz(p.size) }

// Bins gives the number of levels in a frame.
func (p *Plan) Bins() int { return p.keep }

// Levels writes the level over the local floor, in decibels, of the frame
// centred on one sample, and returns dst. dst has shape [Bins]. Sound outside
// x counts as silence; a silent frame gives zeros.
func (p *Plan) Levels(dst []float32, x []float32, centre int) []float32 {
	return p.Warped(dst, x, centre, 0)
}

// Warped is Levels of the sound as it would be if a shaft whose speed changes
// by slope a second (natural log) turned evenly.
func (p *Plan) Warped(dst []float32, x []float32, centre int, slope float64) []float32 {
	if slope == 0 {
		p.load(x, centre)
	} else {
		p.loadWarped(x, centre, slope)
	}
	p.fft.Coefficients(p.coef, p.seg)
	n := min(p.keep+p.half+1, len(p.level))
	for i, c := range p.coef[:n] {
		p.level[i] = 10 * math.Log10(real(c)*real(c)+imag(c)*imag(c)+silence)
	}
	floor := p.localFloor(n)
	for i := range dst[:p.keep] {
		dst[i] = float32(p.level[i] - floor[i])
	}
	return dst
}

// load puts the windowed stretch around centre into the transform's buffer.
func (p *Plan) load(x []float32, centre int) {
	from := centre - len(p.win)/2
	for i, w := range p.win {
		if j := from + i; j >= 0 && j < len(x) {
			p.seg[i] = w * float64(x[j])
		} else {
			p.seg[i] = 0
		}
	}
}

// loadWarped is load on a time axis on which the shaft turns evenly. Linear
// interpolation serves below a quarter of the rate.
func (p *Plan) loadWarped(x []float32, centre int, slope float64) {
	n := len(p.win)
	for i, w := range p.win {
		u := float64(i-n/2) / float64(p.rate)
		// The phase f(s + slope s^2/2) is to be f u.
		d := max(1+2*slope*u, 0)
		s := 2 * u / (1 + math.Sqrt(d)) * float64(p.rate)
		j := centre + int(math.Floor(s))
		if j < 0 || j+1 >= len(x) {
			p.seg[i] = 0
			continue
		}
		a := s - math.Floor(s)
		p.seg[i] = w * ((1-a)*float64(x[j]) + a*float64(x[j+1]))
	}
}

// localFloor gives the running mean of the first n levels with peaks cut down.
func (p *Plan) localFloor(n int) []float64 {
	copy(p.capped[:n], p.level[:n])
	for pass := range p.floor.Passes {
		if pass > 0 {
			for i := range n {
				p.capped[i] = math.Min(p.level[i], p.capped[i]+float64(p.floor.Clip))
			}
		}
		p.smooth(n)
	}
	return p.capped[:n]
}

// smooth replaces the first n capped levels by their running mean.
func (p *Plan) smooth(n int) {
	p.sums[0] = 0
	for i, v := range p.capped[:n] {
		p.sums[i+1] = p.sums[i] + v
	}
	for i := range n {
		lo, hi := max(0, i-p.half), min(n, i+p.half+1)
		p.capped[i] = (p.sums[hi] - p.sums[lo]) / float64(hi-lo)
	}
}

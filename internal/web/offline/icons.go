package offline

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/vector"
)

// iconSVG is the icon: the course of a pass under its limit.
const iconSVG = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" fill="#104682"/>` +
	`<path d="M5 25h5l3-14h9l5 14" fill="none" stroke="#fff" stroke-width="3" stroke-linejoin="round"/>` +
	`<path d="M4 7h24" stroke="#ffb4a6" stroke-width="2.5" stroke-dasharray="5 3"/></svg>
`

// iconSizes are those that phones ask for, pixels.
var iconSizes = []int{180, 192, 512}

// The same in figures, in the units of iconSVG.
const unit = 32

var (
	ground = color.RGBA{0x10, 0x46, 0x82, 0xff}
	course = stroke{color.RGBA{0xff, 0xff, 0xff, 0xff}, 3, [][2]float64{{5, 25}, {10, 25}, {13, 11}, {22, 11}, {27, 25}}}
	dashes = []stroke{dash(4), dash(12), dash(20)}
)

type stroke struct {
	colour color.RGBA
	width  float64
	points [][2]float64
}

func dash(from float64) stroke {
	const length, height, width = 5, 7, 2.5
	return stroke{color.RGBA{0xff, 0xb4, 0xa6, 0xff}, width, [][2]float64{{from, height}, {from + length, height}}}
}

// drawIcon gives the icon as a PNG of size by size pixels. Its corners are square:
// phones round them as they like.
func drawIcon(size int) ([]byte, error) {
	img := image.NewRGBA(image.Rect(0, 0, size, size))
	draw.Draw(img, img.Bounds(), image.NewUniform(ground), image.Point{}, draw.Src)
	for _, s := range append(dashes, course) {
		s.draw(img, float64(size)/unit)
	}
	var b bytes.Buffer
	err := png.Encode(&b, img)
	return b.Bytes(), err
}

// draw draws each piece with round ends.
func (s stroke) draw(img *image.RGBA, scale float64) {
	const corners = 24 // of a round end
	size := img.Bounds().Dx()
	r := s.width / 2 * scale
	for i := 1; i < len(s.points); i++ {
		a, b := s.points[i-1], s.points[i]
		z := vector.NewRasterizer(size, size)
		turn := math.Atan2(b[1]-a[1], b[0]-a[0])
		for k := range 2 * corners {
			at := b
			if k >= corners {
				at = a
			}
			angle := turn - math.Pi/2 + math.Pi*float64(k%corners)/(corners-1)
			if k >= corners {
				angle += math.Pi
			}
			x, y := float32(at[0]*scale+r*math.Cos(angle)), float32(at[1]*scale+r*math.Sin(angle))
			if k == 0 {
				z.MoveTo(x, y)
			} else {
				z.LineTo(x, y)
			}
		}
		z.ClosePath()
		z.Draw(img, img.Bounds(), image.NewUniform(s.colour), image.Point{})
	}
}

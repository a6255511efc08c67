package picture

import (
	"image/color"
	"math"
	"testing"
)

// luminance is the relative luminance of a colour on paper, and contrast the
// ratio of two; source: WCAG 2.2, which wants 4.5 to 1 for words and 3 to 1 for graphics.
func luminance(c color.NRGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

func contrast(a, b color.NRGBA) float64 {
	light, dark := max(luminance(a), luminance(b)), min(luminance(a), luminance(b))
	return (light + 0.05) / (dark + 0.05)
}

// over gives a translucent colour on paper.
func over(c color.NRGBA) color.NRGBA {
	mix := func(v uint8) uint8 { return uint8((int(v)*int(c.A) + 255*(255-int(c.A))) / 255) }
	return color.NRGBA{R: mix(c.R), G: mix(c.G), B: mix(c.B), A: 255}
}

func TestContrast(t *testing.T) {
	if got := contrast(paper, color.NRGBA{A: 255}); math.Abs(got-21) > 1e-9 {
		t.Fatalf("black on white has a contrast of %v, want 21", got)
	}
	grounds := map[string]color.NRGBA{"paper": paper, "a tinted phase": over(oddTint), "the ground above the limit": over(overTint)}
	inks := map[string]color.NRGBA{"ink": ink, "soft ink": softInk, "speed": speedInk, "limit": limitInk, "four-stroking": fourStrokeInk}
	for name, c := range inks {
		for ground, g := range grounds {
			if got := contrast(c, g); got < 4.5 {
				t.Errorf("%s on %s has a contrast of %.2f, want 4.5", name, ground, got)
			}
		}
	}
	if got := contrast(secondLine, paper); got < 3 {
		t.Errorf("the line of the second pass has a contrast of %.2f, want 3", got)
	}
	if got := contrast(secondLine, speedInk); got < 2 { // a judgement: told apart in grey
		t.Errorf("the lines of two passes have a contrast of %.2f, want 2", got)
	}
	loudest := grey(maxLevelDB).Y
	if got := contrast(speedInk, color.NRGBA{R: loudest, G: loudest, B: loudest, A: 255}); got < 3 {
		t.Errorf("the speed over the loudest line has a contrast of %.2f, want 3", got)
	}
}

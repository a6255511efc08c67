package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/report"
)

// sideBySide makes a comparison of a rich pass, a clean one that is too fast,
// and one without a plateau, for as many as are wanted.
func sideBySide(n int) report.Comparison {
	opens := 2.0
	later := passOf(14020, 13500, clean)
	later.Verdict.Code, later.Clip.File = "over-limit", "late.wav"
	none := looks()[3].report
	none.Limits.MaxRPM = 13500
	all := []report.ComparedPass{
		{Report: passOf(12640, 13500, rich), OpensAtS: &opens, Orders: spectrumOf(1, 0.5, 1.5, 2, 2.5)},
		{Report: later, OpensAtS: &opens, Orders: spectrumOf(1, 2, 3)},
		{Report: none},
	}
	c := report.Comparison{Passes: all[:n]}
	for i := 2; i <= n; i++ {
		c.Pairs = append(c.Pairs, report.Pair{Pass: i, Mixture: "leaner"})
	}
	return c
}

// spectrumOf makes an order spectrum with lines at some orders.
func spectrumOf(orders ...float64) *report.Orders {
	levels := make([]float64, 80)
	for _, k := range orders {
		levels[int(8*k)-1] = 30 / k
	}
	return report.NewOrders(2.4, 7, 8, levels)
}

func drawnSideBySide(t testing.TB, f Format, c report.Comparison) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := DrawComparison(&b, f, ComparisonSize(len(c.Passes)), c); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestComparisonWords compares the words of a comparison with a golden file.
func TestComparisonWords(t *testing.T) {
	for n := 2; n <= 3; n++ {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			wantWords(t, fmt.Sprintf("side-by-side-%d", n), drawnSideBySide(t, SVG, sideBySide(n)))
		})
	}
}

// TestComparisonInLine: two passes that open their throttles at different times
// rise at one place of the picture.
func TestComparisonInLine(t *testing.T) {
	c := sideBySide(2)
	moved, opens := c.Passes[1].Report, 3.5
	moved.Track = nil
	for _, p := range c.Passes[1].Report.Track {
		p.TimeS += 1.5
		moved.Track = append(moved.Track, p)
	}
	moved.Clip.DurationS += 1.5
	c.Passes[1].Report, c.Passes[1].OpensAtS = moved, &opens
	img, err := png.Decode(bytes.NewReader(drawnSideBySide(t, PNG, c)))
	if err != nil {
		t.Fatal(err)
	}
	// Below the legend and above idle, a line begins where its speed rises.
	size := img.Bounds().Size()
	var rises [2]int
	for i := range rises {
		rises[i] = size.X
		for y := size.Y / 5; y < size.Y/2; y++ {
			for x := range rises[i] {
				if color.NRGBAModel.Convert(img.At(x, y)) == passStyle(i).Color {
					rises[i] = x
					break
				}
			}
		}
	}
	if apart := rises[1] - rises[0]; max(apart, -apart) > size.X/50 { // 1.5 s are a tenth of the width
		t.Errorf("the passes rise at dots %v of %d", rises, size.X)
	}
}

// TestOpeningNotHeard: a pass whose opening is not known has a label that says so.
func TestOpeningNotHeard(t *testing.T) {
	c, soon := sideBySide(2), 0.3
	c.Passes[0].OpensAtS, c.Passes[1].OpensAtS = &soon, nil
	read := words(t, drawnSideBySide(t, SVG, c))
	if !slices.Contains(read, "2 late.wav: 14,020 ± 70 rpm, opening not heard") {
		t.Errorf("the picture does not say it: %q", read)
	}
	if slices.Contains(read, "-0") {
		t.Error("the axis has a negative zero")
	}
}

// TestPassLines: the lines of a comparison differ in colour and in dashes, and
// stand out from the paper.
func TestPassLines(t *testing.T) {
	seen := map[string]bool{}
	for n := range report.MaxPasses {
		l := passStyle(n)
		dashes := fmt.Sprint(l.Dashes)
		if seen[dashes] {
			t.Errorf("pass %d has the dashes of another", n+1)
		}
		seen[dashes] = true
		for ground, g := range map[string]color.NRGBA{"paper": paper, "the ground above the limit": over(overTint)} {
			if got := contrast(passInk(n).(color.NRGBA), g); got < 4.5 {
				t.Errorf("words about pass %d on %s have a contrast of %.2f, want 4.5", n+1, ground, got)
			}
			if got := contrast(l.Color.(color.NRGBA), g); got < 3 {
				t.Errorf("pass %d on %s has a contrast of %.2f, want 3", n+1, ground, got)
			}
		}
	}
}

func TestComparisonRefuses(t *testing.T) {
	if err := DrawComparison(io.Discard, PNG, Size{}, sideBySide(2)); !errors.Is(err, ErrSize) {
		t.Errorf("no size gives %v", err)
	}
	if err := DrawComparison(io.Discard, "gif", DefaultSize, sideBySide(2)); !errors.Is(err, ErrFormat) {
		t.Errorf("a gif gives %v", err)
	}
	for n := 2; n <= report.MaxPasses; n++ {
		if err := ComparisonSize(n).Check(); err != nil {
			t.Errorf("%d passes: %v", n, err)
		}
	}
}

// TestAnyComparison: whatever the passes hold, the picture is drawn and
// well-formed.
func TestAnyComparison(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var c report.Comparison
		for range rapid.IntRange(2, report.MaxPasses).Draw(rt, "passes") {
			r := report.Report{Clip: report.Clip{
				File: rapid.String().Draw(rt, "file"), DurationS: rapid.Float64Range(0, 20).Draw(rt, "duration"),
			}}
			r.Limits.MaxRPM = report.Speed(rapid.SampledFrom([]float64{0, 13500, 13000}).Draw(rt, "limit"))
			for i := range rapid.IntRange(0, 10).Draw(rt, "points") {
				r.Track = append(r.Track, report.Point{TimeS: float64(i) / 10, RPM: report.Speed(rapid.Float64Range(-5000, 18000).Draw(rt, "rpm"))})
			}
			if rapid.Bool().Draw(rt, "top end") {
				r.TopEnd = &report.TopEnd{SustainedRPM: 12000, ToS: r.Clip.DurationS}
			}
			p := report.ComparedPass{Report: r}
			if rapid.Bool().Draw(rt, "orders") {
				p.Orders = report.NewOrders(0, 1, 8, rapid.SliceOfN(rapid.Float64Range(-10, 90), 0, 80).Draw(rt, "levels"))
			}
			if rapid.Bool().Draw(rt, "opens") {
				opens := rapid.Float64Range(0, 20).Draw(rt, "opens at")
				p.OpensAtS = &opens
			}
			c.Passes = append(c.Passes, p)
		}
		var b bytes.Buffer
		if err := DrawComparison(&b, SVG, ComparisonSize(len(c.Passes)), c); err != nil {
			rt.Fatal(err)
		}
		if got := words(t, b.Bytes()); len(got) == 0 || got[0] != report.ComparisonHeadline(c) {
			rt.Fatalf("the picture is titled %q", got)
		}
	})
}

// TestOrderHeads: a line has a head where it is a half, a third or a quarter of the
// shaft's and stands out from those beside it; whole orders and skirts have none.
func TestOrderHeads(t *testing.T) {
	const lines = 12
	level := make([]float64, 3*lines)
	for order, db := range map[float64]float64{1: 40, 0.5: 20, 4. / 3: 15, 1.75: 12, 2: 30, 25. / 12: 27, 2.5: 5} {
		level[int(math.Round(order*lines))-1] = db
	}
	level[int(2.25*lines)-1], level[int(2.25*lines)-2] = 12, 11 // a skirt
	var heads []int
	for k, db := range level {
		if order := float64(k+1) / lines; db >= standsOut && !near(order, 1) && misses(order) && alone(level, k) {
			heads = append(heads, k+1)
		}
	}
	if want := []int{6, 16, 21}; !slices.Equal(heads, want) {
		t.Errorf("heads at %v twelfths, want %v", heads, want)
	}
}

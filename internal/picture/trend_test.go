package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"topnote/internal/report"
)

// trendOf makes a trend of n passes that climb; one has no top speed, and one
// was not corrected.
func trendOf(n int) Trend {
	t := Trend{Name: "bench saw", Limits: report.Limits{MaxRPM: 13500, IdleRPM: 2800, ClutchRPM: 3700}}
	for i := range n {
		four := 0.9 - 0.7*float64(i)/float64(n)
		p := TrendPass{
			Number: int64(i + 1), At: time.Date(2026, 3, 1, 10, 0, 0, 0, time.UTC).AddDate(0, 0, 11*i),
			Top: report.Speed(12600 + 1200*i/n), TopSD: 40, Corrected: report.Speed(12700 + 900*i/n), CorrectedSD: 90,
			FourStroking: &four, Idle: report.Speed(2780 + 300*i/n), IdleSD: 25,
		}
		switch i {
		case 2:
			p.Top, p.TopSD, p.Corrected, p.FourStroking = 0, 0, 0, nil
		case 3:
			p.Corrected = 0
		}
		t.Passes = append(t.Passes, p)
	}
	return t
}

func drawnTrend(t testing.TB, f Format, s Size, trend Trend) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := DrawTrend(&b, f, s, trend); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestTrendWords compares the words of a trend with a golden file.
func TestTrendWords(t *testing.T) {
	for _, n := range []int{0, 1, 6, 30} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			wantWords(t, fmt.Sprintf("trend-%d", n), drawnTrend(t, SVG, TrendSize, trendOf(n)))
		})
	}
}

// TestTrendShowsEveryPass counts the dots of the measured speeds along a line
// across each: one for each pass with a top speed, and no other.
func TestTrendShowsEveryPass(t *testing.T) {
	trend := trendOf(5)
	for i := range trend.Passes {
		trend.Passes[i].Corrected, trend.Passes[i].TopSD, trend.Passes[i].IdleSD = 0, 0, 0
		if trend.Passes[i].Top.Told() {
			trend.Passes[i].Top = 12600
		}
	}
	img, err := png.Decode(bytes.NewReader(drawnTrend(t, PNG, TrendSize, trend)))
	if err != nil {
		t.Fatal(err)
	}
	size := img.Bounds().Size()
	// A dot is several times as thick as the line that joins the dots.
	dots, inside := 0, false
	for x := range size.X {
		thick := 0
		for y := size.Y / 6; y < size.Y/2; y++ {
			if color.NRGBAModel.Convert(img.At(x, y)) == speedInk {
				thick++
			}
		}
		if thick > 8 && !inside {
			dots++
		}
		inside = thick > 8
	}
	if dots != 4 {
		t.Errorf("%d dots, want 4", dots)
	}
}

func TestTrendErrors(t *testing.T) {
	var b bytes.Buffer
	if err := DrawTrend(&b, "pdf", TrendSize, trendOf(2)); !errors.Is(err, ErrFormat) {
		t.Errorf("pdf: %v", err)
	}
	if err := DrawTrend(&b, PNG, Size{WidthCM: 1, HeightCM: 1}, trendOf(2)); !errors.Is(err, ErrSize) {
		t.Errorf("too small: %v", err)
	}
	if b.Len() > 0 {
		t.Errorf("%d bytes were written", b.Len())
	}
}

// TestInlineTrend: the picture in a page is well-formed, has its words, and its
// description has every pass.
func TestInlineTrend(t *testing.T) {
	var b bytes.Buffer
	trend := trendOf(4)
	trend.Name = "<saw> & \x1b"
	if err := InlineTrend(&b, trend); err != nil {
		t.Fatal(err)
	}
	all := strings.Join(words(t, b.Bytes()), "\n")
	if !strings.Contains(all, "2026-03-01") || !strings.Contains(all, "limit") {
		t.Errorf("its words are %s", all)
	}
	for _, want := range []string{"pass 1, 2026-03-01: top speed 12,600 rpm, in standard air 12,700, four-stroking 90 %, idle 2,780", "pass 3, 2026-03-23: top speed - rpm"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in the description", want)
		}
	}
}

// TestLookTrend writes pictures to look at: LOOK=FOLDER go test -run Look -v.
func TestLookTrend(t *testing.T) {
	folder := os.Getenv("LOOK")
	if folder == "" {
		t.Skip("set LOOK to a folder to have pictures written there")
	}
	for _, n := range []int{0, 1, 6, 30} {
		path := filepath.Join(folder, fmt.Sprintf("trend-%d.png", n))
		if err := os.WriteFile(path, drawnTrend(t, PNG, TrendSize, trendOf(n)), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Log(path)
	}
}

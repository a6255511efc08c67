package web

import (
	"bytes"
	"cmp"
	"image"
	"image/color"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestPictures makes the pictures of the pages that stand in docs, in the folder
// LOOK.
func TestPictures(t *testing.T) {
	if os.Getenv("LOOK") == "" {
		t.Skip("makes pictures for people, only with LOOK=FOLDER")
	}
	address := site(t)
	phone := openTab(t, address, 390, 844)
	phone.visit("/")
	phone.window("page-new")
	phone.measured(sample(t, "mixed.wav"), "13500")
	phone.window("page-result")
	phone.scheme("dark")
	phone.window("page-result-dark")
	phone.scheme("light")
	phone.show("trace-part")
	phone.until(`!!document.querySelector("#trace svg .line-1")`)
	phone.window("page-trace")
	phone.show("reply")
	phone.window("page-reply")

	desk := openTab(t, address, 1440, 900)
	desk.visit("/")
	desk.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{sample(t, "rich.wav"), sample(t, "high-idle.wav"), sample(t, "over.wav"), sample(t, "clean.wav")}),
		chromedp.SetValue(chromedp.ID("limit"), "13500"),
		chromedp.Evaluate[chromedp.Void](`document.getElementById("clutch").value = "3,700"`), chromedp.Click(chromedp.ID("measure")),
	)
	desk.at("/many")
	desk.window("page-many")
	ids := eval[[]string](desk, `[...document.querySelectorAll("input[name=clip]")].map((box) => box.value)`)
	desk.visit("/compare?first=" + ids[1] + "&second=" + ids[0])
	desk.until(`!!document.querySelector("#trace-1 svg .line-2")`)
	desk.window("page-compare")
	desk.scheme("dark")
	desk.visit("/clips/" + ids[0])
	desk.until(`!!document.querySelector("#trace svg .line-1")`)
	desk.do(chromedp.Click(chromedp.ID("present")))
	desk.until(`document.querySelector("#trace svg").clientWidth > 800`)
	desk.window("page-present")
}

// show unfolds a part of a page and scrolls to it.
func (b tab) show(id string) {
	b.t.Helper()
	b.unfold(id)
	b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("` + id + `").scrollIntoView()`))
}

// window leaves a picture of what the window shows in the folder LOOK, with few
// colours, so that it is small; nothing where LOOK is not set.
func (b tab) window(name string) {
	b.t.Helper()
	if os.Getenv("LOOK") == "" {
		return
	}
	shot, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatal(err)
	}
	full, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		b.t.Fatal(err)
	}
	var small bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	if err := encoder.Encode(&small, fewColours(full)); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(os.Getenv("LOOK"), name+".png"), small.Bytes(), 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// fewColours gives a picture in its 48 most frequent colours.
func fewColours(full image.Image) *image.Paletted {
	const most = 48
	count := map[color.RGBA]int{}
	box := full.Bounds()
	at := func(x, y int) color.RGBA { return color.RGBAModel.Convert(full.At(x, y)).(color.RGBA) }
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			count[at(x, y)]++
		}
	}
	byCount := slices.SortedFunc(maps.Keys(count), func(a, b color.RGBA) int { return cmp.Compare(count[b], count[a]) })
	var palette color.Palette
	for _, c := range byCount[:min(most, len(byCount))] {
		palette = append(palette, c)
	}
	few := image.NewPaletted(box, palette)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			few.Set(x, y, at(x, y))
		}
	}
	return few
}

package web

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

var pageOfPDF = regexp.MustCompile(`/Type\s*/Page\b`)

// TestPaper prints a result with much to say, and the empty record sheet: each is one
// page of A4 and of Letter.
func TestPaper(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 1440, 900)
	b.visit("/")
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{sample(t, "high-idle.wav")}), chromedp.SetValue(chromedp.ID("limit"), "12000"),
		chromedp.Evaluate[chromedp.Void](`document.getElementById("clutch").value = "3,700"`), chromedp.Click(chromedp.ID("measure")),
	)
	b.at("/clips/")
	result := eval[string](b, `location.pathname`)
	for name, path := range map[string]string{"result": result + "/sheet", "blank": "/sheet"} {
		b.visit(path)
		b.fits(path)
		for size, inches := range map[string][2]float64{"A4": {8.27, 11.69}, "Letter": {8.5, 11}} {
			pdf, err := chromedp.Call(b.ctx, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: inches[0], PaperHeight: inches[1]})
			if err != nil {
				t.Fatal(err)
			}
			whole := pdf.Data
			if n := len(pageOfPDF.FindAll(whole, -1)); n != 1 {
				t.Errorf("%s on %s takes %d pages", name, size, n)
			}
			if folder := os.Getenv("LOOK"); folder != "" {
				if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("paper-%s-%s.pdf", name, size)), whole, 0o644); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	b.visit(result + "/sheet")
	for _, want := range []string{"high-idle.wav", "Over the limit", "The chain or tool is driven at idle", "12,710", "the limit of", "What to do", "Take care", "handbook and the local rules"} {
		if got := b.content(".sheet"); !strings.Contains(got, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
}

// TestPredict hides the verdict from a class until it is revealed, and shows it on a
// wall.
func TestPredict(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 1440, 900)
	b.visit("/")
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{sample(t, "clean.wav")}), chromedp.SetValue(chromedp.ID("limit"), "13500"),
		chromedp.SetValue(chromedp.ID("name"), "the third"), chromedp.Click(chromedp.ID("hide")), chromedp.Click(chromedp.ID("measure")),
	)
	b.at("/clips/")
	b.until(`document.body.classList.contains("predicting")`)
	seen := eval[string](b, `document.title + " " + document.querySelector("main").innerText`)
	for _, secret := range []string{"Clean", "lean side", "rpm", "13,1"} {
		if strings.Contains(strings.ReplaceAll(seen, "side (lean, safe, rich)", ""), secret) {
			t.Errorf("before it is revealed the page says %q: %s", secret, seen)
		}
	}
	if !strings.Contains(seen, "the third") || strings.Contains(seen, "clean.wav") {
		t.Errorf("it is not called by its name: %s", seen)
	}
	b.do(chromedp.Click(chromedp.ID("play")))
	b.until(`document.getElementById("sound").currentTime > 0.2`)
	b.window("predict")
	b.do(chromedp.Click(chromedp.ID("reveal")))
	if got := b.text("#verdict"); !strings.Contains(got, "Clean without load") {
		t.Errorf("revealed, it says %q", got)
	}
	b.do(chromedp.Click(chromedp.ID("present")))
	b.until(`document.documentElement.classList.contains("present")`)
	b.until(`document.querySelector("#trace svg").clientWidth > 800`)
	b.window("present")
}

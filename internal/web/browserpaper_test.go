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

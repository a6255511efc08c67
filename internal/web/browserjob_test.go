package web

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestPhone goes through the job on a window as wide as a phone.
func TestPhone(t *testing.T) {
	b := openTab(t, site(t), 360, 740)
	b.visit("/")
	b.shoot("phone-new")
	b.measured("rich.wav", "13500")
	if says := b.text("h1"); !strings.Contains(says, "Four-stroking, safe side") {
		t.Errorf("the headline is %q", says)
	}
	b.shoot("phone-result")
	b.do(chromedp.Click(chromedp.ID("play")))
}

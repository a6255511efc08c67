package measure_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"image/png"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/race"
)

// pagesOf gives the page of each shipped pass that is named, and one that
// compares the first two.
func pagesOf(t *testing.T, names ...string) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	passes := measured(t, names...)
	for i, m := range passes {
		var b bytes.Buffer
		if err := m.WriteHTML(&b); err != nil {
			t.Fatal(err)
		}
		all[names[i]] = b.Bytes()
	}
	c, err := measure.Compare(passes[:2])
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := c.WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	all["comparison"] = b.Bytes()
	return all
}

// TestPageColours: the page sets every colour that its picture asks for, and in
// the light the two are the same.
func TestPageColours(t *testing.T) {
	for name, page := range pagesOf(t, "rich", "over") {
		light, dark, _ := bytes.Cut(page, []byte("prefers-color-scheme: dark"))
		used := regexp.MustCompile(`var\((--[a-z-]+),`).FindAllSubmatch(page, -1)
		if len(used) < 20 {
			t.Errorf("%s: the picture asks for %d colours", name, len(used))
		}
		for _, m := range used {
			if set := append(m[1], ": #"...); !bytes.Contains(light, set) || !bytes.Contains(dark, set) {
				t.Errorf("%s: %s is not set in both palettes", name, m[1])
			}
		}
		for property, c := range picture.Properties() {
			if want := fmt.Sprintf("%s: #%02x%02x%02x;", property, c.R, c.G, c.B); !bytes.Contains(light, []byte(want)) {
				t.Errorf("%s: the light palette lacks %q", name, want)
			}
		}
		if rest := regexp.MustCompile(`(?:fill|stroke):#[0-9A-Fa-f]*`).FindAll(page, -1); len(rest) > 0 {
			t.Errorf("%s: colours that no page can set: %q", name, rest)
		}
	}
}

// browser finds Chromium. Where there is none the test is skipped, but not in
// CI, which has it.
func browser(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatal("Chromium is missing in CI")
	}
	t.Skip("no Chromium here to open the pages with")
	return ""
}

// open runs Chromium without a window on an address and gives what it printed.
func open(t *testing.T, address string, flags ...string) []byte {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	flags = append([]string{
		"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--hide-scrollbars", "--user-data-dir=" + t.TempDir(),
	}, append(flags, address)...)
	cmd := exec.CommandContext(ctx, browser(t), flags...)
	cmd.WaitDelay = time.Second
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("Chromium: %v", err)
	}
	return out
}

// look is what a page turned out to be in the browser.
type look struct {
	Page     string
	Width    float64 // of the window
	Scroll   float64 // width of all that is in the page
	Smallest float64 // size of the smallest letters in the picture, as shown
	Picture  float64 // width of the picture
	First    float64 // where the verdict's sentence ends
	Stop     string  // colour of the headline
	Image    bool    // the lines in the sound are shown, or there are none to show
}

// harness opens each page in frames as wide as a phone and as a desk, measures
// it and writes what it found into itself: the pages may run no script.
const harness = `<!DOCTYPE html><body><pre id="found"></pre><script>
const looks = [];
for (const page of PAGES) for (const width of [360, 1200]) {
  const frame = document.createElement("iframe");
  frame.width = width; frame.height = 800; frame.style.border = 0; frame.src = "/" + page;
  frame.onload = () => {
    const d = frame.contentDocument, figure = d.querySelector("figure svg"), box = figure.getBoundingClientRect();
    const scale = box.width / figure.viewBox.baseVal.width, image = figure.querySelector("image");
    const size = t => parseFloat(d.defaultView.getComputedStyle(t).fontSize) * scale;
    looks.push({
      Page: page, Width: width, Scroll: d.documentElement.scrollWidth,
      Smallest: Math.min(...[...figure.querySelectorAll("text")].map(size)), Picture: box.width,
      First: d.querySelector(".says").getBoundingClientRect().bottom,
      Stop: d.defaultView.getComputedStyle(d.querySelector("h1")).color,
      Image: !image || image.getBoundingClientRect().width > 0,
    });
    document.getElementById("found").textContent = JSON.stringify(looks);
  };
  document.body.append(frame);
}
</script>`

var found = regexp.MustCompile(`(?s)<pre id="found">(.*?)</pre>`)

// looksOf opens pages in the browser and measures them.
func looksOf(t *testing.T, pages map[string][]byte) []look {
	t.Helper()
	names, err := json.Marshal(slices.Sorted(maps.Keys(pages)))
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		if page, ok := pages[r.URL.Path[1:]]; ok {
			w.Write(page)
			return
		}
		fmt.Fprint(w, strings.Replace(harness, "PAGES", string(names), 1))
	}))
	defer server.Close()
	out := open(t, server.URL, "--dump-dom", "--virtual-time-budget=5000")
	m := found.FindSubmatch(out)
	if m == nil {
		t.Fatalf("the browser gave %.300q", out)
	}
	var looks []look
	if err := json.Unmarshal([]byte(html.UnescapeString(string(m[1]))), &looks); err != nil {
		t.Fatalf("%v in %q", err, m[1])
	}
	if len(looks) != 2*len(pages) {
		t.Fatalf("%d looks at %d pages", len(looks), len(pages))
	}
	return looks
}

// TestPagesInBrowser opens the pages on a phone of 360 dots and on a desk:
// nothing is wider than the window, the picture's letters can be read, and the
// verdict is seen without scrolling. With LOOK=FOLDER it leaves screenshots
// there, in light and dark.
//
// Source of the least size of letters: common practice, 9 px for the labels of
// a drawing.
func TestPagesInBrowser(t *testing.T) {
	if race.Enabled {
		t.Skip("a browser shows nothing to the race detector")
	}
	browser(t)
	pages := pagesOf(t, "over", "rich")
	const phoneHeight, leastLetters = 640, 9
	headlines := map[string]string{ // --limit, and --ink while it is open whether a governor holds it: our style holds under the page's own policy
		"over": "rgb(176, 36, 20)", "comparison": "rgb(176, 36, 20)", "rich": "rgb(28, 33, 38)",
	}
	for _, l := range looksOf(t, pages) {
		if l.Scroll > l.Width {
			t.Errorf("%s: %.0f dots wide in a window of %.0f", l.Page, l.Scroll, l.Width)
		}
		if l.Smallest < leastLetters || l.Picture > l.Width || !l.Image {
			t.Errorf("the picture: %+v", l)
		}
		if l.First > phoneHeight {
			t.Errorf("%s at %.0f: the verdict ends %.0f dots down", l.Page, l.Width, l.First)
		}
		if want := headlines[l.Page]; l.Stop != want {
			t.Errorf("%s at %.0f: the headline is %s, want %s", l.Page, l.Width, l.Stop, want)
		}
	}
	if os.Getenv("LOOK") == "" {
		pages = map[string][]byte{"over": pages["over"]} // each screenshot takes the browser two seconds
	}
	for name, page := range pages {
		screenshots(t, name, page)
	}
}

// screenshots takes the page as it is seen on a phone and on a desk.
func screenshots(t *testing.T, name string, page []byte) {
	t.Helper()
	folder := os.Getenv("LOOK")
	if folder == "" {
		folder = t.TempDir()
	}
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, page, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, s := range []struct {
		name          string
		width, height int
		scheme        string // Chromium: 0 dark, 1 light
	}{{"phone", 360, 4400, "1"}, {"phone-dark", 360, 4400, "0"}, {"desk", 1200, 3000, "1"}} {
		shot := filepath.Join(folder, name+"-"+s.name+".png")
		open(t, "file://"+file, fmt.Sprintf("--window-size=%d,%d", s.width, s.height), "--screenshot="+shot, "--blink-settings=preferredColorScheme="+s.scheme)
		b, err := os.ReadFile(shot)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if got := img.Bounds().Dx(); got != s.width {
			t.Errorf("%s on a %s is %d dots wide, want %d", name, s.name, got, s.width)
		}
		r, g, b2, _ := img.At(2, s.height-2).RGBA()
		if dark := r+g+b2 < 3*0x4000; dark != strings.HasSuffix(s.name, "dark") {
			t.Errorf("%s on a %s: dark ground: %v", name, s.name, dark)
		}
	}
}

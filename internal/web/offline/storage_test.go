package offline_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
)

// TestPhoneFull: where the room that the browser gives is full, that is said, the book
// stays as it is, and it goes on once there is room. Before, the page says once that the
// browser does not promise to keep the book, which a headless one never does.
func TestPhoneFull(t *testing.T) {
	t.Parallel()
	address, _ := host(t)
	p, end := startPhone(t, t.TempDir())
	defer end()
	p.open(address)
	p.until(`document.getElementById("said").textContent.includes("may delete the book")`)
	p.enter("bench saw")
	p.open(address)
	if says := eval[string](p, `document.getElementById("said").textContent`); says != "" {
		t.Errorf("at the second visit it says again %q", says)
	}
	p.quota(address, 1)
	// What the browser has set aside beforehand fills up first.
	refused := eval[string](p, addMachines)
	if !strings.Contains(refused, "make room") {
		t.Errorf("without room the program says %q", refused)
	}
	stored := eval[int](p, `window.stored`)
	p.quota(address, 1e9)
	p.open(address)
	p.visit("/book")
	if got := eval[int](p, inFrame(`d.querySelectorAll(".list .item").length`)); got != stored+1 {
		t.Errorf("the book has %d machines, %d were stored", got, stored+1)
	}
	p.enter("desk saw")
}

// addMachines adds machines until one is refused, and gives why.
const addMachines = `(async () => {
	window.stored = 0;
	const w = document.getElementById("pages").contentWindow, notes = "a long note ".repeat(80);
	for (; stored < 4000; stored++) {
		const answer = await w.fetch(new URL("app/api/v1/machines", location.href.split("#")[0]), {
			method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ name: "saw " + stored, notes }),
		});
		if (answer.status !== 201) return answer.text();
	}
	return "nothing";
})()`

// quota sets how many bytes the browser gives a page.
func (p phone) quota(address string, bytes float64) {
	p.Helper()
	if _, err := chromedp.Call(p.window.(chromium).ctx, storage.OverrideQuotaForOrigin, storage.OverrideQuotaForOriginParams{
		Origin: strings.TrimSuffix(address, below), QuotaSize: &bytes,
	}); err != nil {
		p.Fatal(err)
	}
}

// TestPhoneNewVersion renews the files at the host. While only some of them are there
// the page stays with the version that it has; once all are, it offers the new one,
// changes over, and the book is the same.
func TestPhoneNewVersion(t *testing.T) {
	t.Parallel()
	folder, address, _ := folderHost(t)
	p, end := startPhone(t, t.TempDir())
	defer end()
	p.open(address)
	p.enter("bench saw")
	versions := `caches.keys().then((all) => all.sort().join(" "))`
	before := eval[string](p, versions)
	list, err := os.ReadFile(filepath.Join(folder, "sw.js"))
	if err != nil {
		t.Fatal(err)
	}
	old, err := os.ReadFile(filepath.Join(folder, "licences.txt"))
	if err != nil {
		t.Fatal(err)
	}
	renewed := append([]byte("New.\n"), old...)
	list = bytes.ReplaceAll(list, []byte(digest(old)), []byte(digest(renewed)))
	name := before[strings.LastIndex(before, " ")+1:]
	list = bytes.ReplaceAll(list, []byte(name), []byte(strings.Repeat("0", len(name))))
	write := func(file string, content []byte) {
		if err := os.WriteFile(filepath.Join(folder, file), content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("sw.js", list) // half: the file that it lists is still the old one
	p.open(address)
	eval[string](p, `navigator.serviceWorker.getRegistration().then((r) => r.update()).then(() => "", (err) => String(err))`)
	p.until(`await navigator.serviceWorker.getRegistration().then((r) => !r.installing)`)
	if says := eval[string](p, `document.getElementById("said").textContent`); strings.Contains(says, "new version") {
		t.Errorf("of a version that is not whole it says %q", says)
	}
	write("licences.txt", renewed)
	p.open(address)
	// The browser looks for it by itself as well, but not again where it still had the half in its hands.
	p.until(`(await navigator.serviceWorker.getRegistration().then((r) => r.update()).catch(() => {}), document.getElementById("said").textContent.includes("new version"))`)
	p.act(`d.title = "old"; document.getElementById("act").click()`)
	p.until(inFrame(`d.readyState === "complete" && d.title !== "old" && d.querySelector("h1")`) + ` && document.documentElement.dataset.kept`)
	if after := eval[string](p, versions); after == before || strings.Contains(after, name) {
		t.Errorf("the versions kept are %q, before %q", after, before)
	}
	p.visit("/book")
	if says := p.text("main"); !strings.Contains(says, "bench saw") {
		t.Errorf("the new version has another book:\n%s", says)
	}
}

// digest is how the service worker names the content of a file.
func digest(content []byte) string {
	sum := sha256.Sum256(content)
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

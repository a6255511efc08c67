package offline_test

import (
	"bytes"
	"os/exec"
	"path/filepath"
	"testing"

	"topnote/internal/book"
)

func sample(name string) string { return filepath.Join("..", "..", "..", "samples", name+".wav") }

// TestPhoneAlone is the whole job without a server: the page is loaded once from a
// folder of static files, then the host is gone. A pass is measured and written into
// the book, the browser is ended and started again, the pass is still there, and what
// is taken along opens as a book here.
func TestPhoneAlone(t *testing.T) {
	t.Parallel()
	address, stop := host(t)
	profile := t.TempDir()
	p, end := startPhone(t, profile)
	p.open(address)
	stop()
	p.visit("/book")
	p.act(`d.getElementById("name").value = "bench saw"; d.getElementById("limit").value = "13500";
		d.querySelector('form[action$="/book"] button').click()`)
	p.until(inFrame(`d.querySelector("h1")?.textContent.includes("bench saw")`))
	p.measure(sample("rich"), "safe side")
	p.act(`const f = d.querySelector("form[action$='/book']"); f.elements.machine.value = "bench saw"; f.querySelector("button").click()`)
	p.until(inFrame(`d.URL.includes("stored=1")`))
	end()

	p, end = startPhone(t, profile) // the host is still gone
	defer end()
	p.open(address)
	p.visit("/book/bench%20saw")
	if says := p.text("main"); !bytes.Contains([]byte(says), []byte("12,710")) {
		t.Errorf("the pass is not in the book after the browser was started again:\n%s", says)
	}
	p.visit("/book")
	file := p.download(`a[download="topnote-book.sqlite"]`, "topnote-book.sqlite")
	text := p.download(`a[download="topnote-book.json"]`, "topnote-book.json")
	for name, content := range map[string][]byte{"file": file, "JSON": text} {
		opened(t, name, content)
	}
	if says := p.seen.all(); says != "" {
		t.Errorf("the browser complains: %s", says)
	}
}

// opened holds what was taken along from the phone to a book with one pass here.
func opened(t *testing.T, name string, content []byte) {
	t.Helper()
	x, err := book.ReadExport(bytes.NewReader(content))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	b, err := book.Create(filepath.Join(t.TempDir(), "book.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if done, err := b.Import(x, false); err != nil || done.Machines != 1 || done.Passes != 1 {
		t.Errorf("%s: %+v, %v", name, done, err)
	}
	passes, err := b.Passes("bench saw")
	if err != nil || len(passes) != 1 || passes[0].Report.Verdict.Code != "four-stroking" {
		t.Errorf("%s: %+v, %v", name, passes, err)
	}
}

// TestPhoneDecodes has the browser decode what the program cannot: the report has
// the fingerprint of the file that was chosen.
func TestPhoneDecodes(t *testing.T) {
	t.Parallel()
	ffmpeg := program(t, "ffmpeg")
	address, stop := host(t)
	recording := filepath.Join(t.TempDir(), "over.m4a")
	if out, err := exec.Command(ffmpeg, "-loglevel", "error", "-i", sample("over"), "-c:a", "aac", recording).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	p, end := startPhone(t, t.TempDir())
	defer end()
	p.open(address)
	stop()
	p.measure(recording, "Over the limit")
}

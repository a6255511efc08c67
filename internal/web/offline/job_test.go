package offline_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/book"
	"topnote/internal/report"
)

func sample(name string) string { return filepath.Join("..", "..", "..", "samples", name+".wav") }

// TestPhoneAlone does the whole job in Chromium, TestPhoneInFirefox in Firefox.
func TestPhoneAlone(t *testing.T)     { wholeJob(t, startPhone) }
func TestPhoneInFirefox(t *testing.T) { wholeJob(t, startFirefox) }

// wholeJob is the whole job without a server: the page is loaded once from a
// folder of static files, then the host is gone. A pass is measured and written into
// the book, the browser is ended and started again, the pass is
// still there, and what is taken along opens as a book here.
func wholeJob(t *testing.T, start func(t *testing.T, profile string) (p phone, end func())) {
	t.Parallel()
	address, stop := host(t)
	profile := t.TempDir()
	p, end := start(t, profile)
	p.open(address)
	stop()
	p.enter("bench saw")
	p.measure(sample("rich"), "safe side")
	p.act(`const f = d.querySelector("form[action$='/book']"); f.elements.machine.value = "bench saw"; f.querySelector("button").click()`)
	p.untilShown(`d.URL.includes("stored=1")`)
	end()

	p, end = start(t, profile) // the host is still gone
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
	p.bring()
	if says := p.seen.all(); says != "" {
		t.Errorf("the browser complains: %s", says)
	}
}

// bring adds books that were made here to the one on the phone: as a file and as JSON.
func (p phone) bring() {
	p.Helper()
	b, err := book.Create(filepath.Join(p.TempDir(), "book.sqlite"))
	if err != nil {
		p.Fatal(err)
	}
	defer b.Close()
	for _, c := range []struct {
		machine, file string
		write         func(io.Writer) error
	}{{"desk saw", "desk.sqlite", b.WriteFile}, {"other saw", "other.json", b.Export}} {
		if err := b.AddMachine(book.Machine{Name: c.machine, Engine: report.Engine{Strokes: 2, Cylinders: 1}}); err != nil {
			p.Fatal(err)
		}
		var content bytes.Buffer
		path := filepath.Join(p.TempDir(), c.file)
		if err := errors.Join(c.write(&content), os.WriteFile(path, content.Bytes(), 0o600)); err != nil {
			p.Fatal(err)
		}
		p.visit("/book")
		p.choose("book", path)
		p.act(`d.querySelector('form[action$="/take"] button').click()`)
		p.untilShown(`d.querySelector(".said")`)
		if says := p.text("main"); !strings.Contains(says, "Added: 1 machine and 0 passes") || !strings.Contains(says, c.machine) {
			p.Errorf("%s was brought, and the page says %q", c.file, says)
		}
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
	original, err := os.ReadFile(recording)
	if err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf("%x", sha256.Sum256(original))
	if got := eval[string](p, inFrame(`d.defaultView.fetch(d.querySelector('a[download$=".json"]').href).then((a) => a.json()).then((r) => r.clip.sha256)`)); got != want {
		t.Errorf("the fingerprint is %s, that of the file %s", got, want)
	}
}

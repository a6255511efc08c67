package offline_test

import (
	"bytes"
	"compress/gzip"
	"errors"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/web/offline"
)

// mostCompressed is the most that a phone may have to load, mostFirst the same before the
// live view works, bytes: issue 18, point 4.
const mostCompressed, mostFirst = 6_000_000, 1_000_000

// builtFiles gives all files; where they were not built the test is skipped, but not in CI.
func builtFiles(t *testing.T) map[string][]byte {
	t.Helper()
	files, err := offline.Files()
	if errors.Is(err, offline.ErrNotBuilt) && os.Getenv("CI") != "true" {
		t.Skip("the files are not built; go run .ci/page.go")
	} else if err != nil {
		t.Fatal(err)
	}
	return files
}

// firstFiles gives what the live view needs, and what a browser loads with it:
// TestPhoneListensFirst holds it to that.
func firstFiles(files map[string][]byte) []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(files)), func(name string) bool { return slices.Contains(behind, name) })
}

// small gives the bytes of a file as it travels from a host that compresses; what we
// compressed gets no smaller.
func small(t *testing.T, content []byte) int {
	t.Helper()
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = z.Write(content)
	}
	if err := errors.Join(err, z.Close()); err != nil {
		t.Fatal(err)
	}
	return min(b.Len(), len(content))
}

// TestSizes holds all files together to what a phone may have to load, and those that
// the live view needs to what may come first, and prints the table of docs/performance.md
// with -v.
func TestSizes(t *testing.T) {
	t.Parallel()
	files := builtFiles(t)
	var all, packed, first, firstPacked int
	for _, name := range slices.Sorted(maps.Keys(files)) {
		whole, compressed := len(files[name]), small(t, files[name])
		all, packed = all+whole, packed+compressed
		if slices.Contains(firstFiles(files), name) {
			first, firstPacked = first+whole, firstPacked+compressed
		}
		if whole > 100_000 {
			t.Logf("| %s | %.2f | %.2f |", name, float64(whole)/1e6, float64(compressed)/1e6)
		}
	}
	t.Logf("| what the live view needs, which comes first | %.2f | %.2f |", float64(first)/1e6, float64(firstPacked)/1e6)
	t.Logf("| all files | %.2f | %.2f |", float64(all)/1e6, float64(packed)/1e6)
	if packed > mostCompressed {
		t.Errorf("%d bytes compressed, at most %d are wanted", packed, mostCompressed)
	}
	if firstPacked > mostFirst {
		t.Errorf("%d bytes compressed come first, at most %d are wanted", firstPacked, mostFirst)
	}
}

// TestTimes prints how long the page takes to be ready and to measure, with -v; it
// holds none of it to anything, since other tests run beside.
func TestTimes(t *testing.T) {
	if !testing.Verbose() {
		t.Skip("it only prints")
	}
	address, stop := host(t)
	p, end := startPhone(t, t.TempDir())
	defer end()
	const ready = `document.documentElement.dataset.ready`
	began := processorTime(t)
	p.begin(address)
	shown, spent := eval[string](p, ready), processorTime(t)-began
	p.until(`document.documentElement.dataset.runs`)
	t.Logf("| first time, from a host on the same machine | the page after %s ms, %d ms of processor time; the program of the live view after %s ms; the whole one after %s ms, %d ms of processor time |",
		shown, spent.Milliseconds(), eval[string](p, `document.documentElement.dataset.listens`), eval[string](p, `document.documentElement.dataset.runs`), (processorTime(t) - began).Milliseconds())
	p.open(address) // until it is kept
	stop()
	minute := filepath.Join(t.TempDir(), "minute.wav")
	for range 3 {
		p.open(address)
		t.Logf("| again, without a network | %s ms |", eval[string](p, ready))
	}
	if out, err := exec.Command(program(t, "ffmpeg"), "-loglevel", "error", "-stream_loop", "5", "-i", sample("clean"), "-t", "60", minute).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, path := range []string{sample("clean"), sample("clean"), minute} {
		content, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		p.visit("/")
		p.choose("clip", path)
		before := processorTime(t)
		ms := eval[float64](p, inFrame(`(async () => {
			const w = d.defaultView, form = new w.FormData();
			form.set("clip", d.getElementById("clip").files[0]);
			form.set("limit", "13500");
			const from = performance.now();
			const answer = await w.fetch(new w.URL("../app/api/v1/clips?wait=1", d.URL), { method: "POST", body: form });
			if (answer.status !== 200) throw new Error(await answer.text());
			await answer.text();
			return performance.now() - from;
		})()`))
		const rate, bytes = 22050, 2
		t.Logf("| %.0f s of sound measured | %.0f ms; %d ms of processor time |",
			float64(len(content))/rate/bytes, ms, (processorTime(t) - before).Milliseconds())
	}
}

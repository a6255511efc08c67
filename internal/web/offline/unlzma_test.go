package offline_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/kjk/lzma"
)

// unpack runs unlzma.js on a file and writes what it gives to its standard output.
const unpack = `import fs from "node:fs";
await import(process.argv[1]);
for await (const piece of unlzma(new Uint8Array(fs.readFileSync(process.argv[2])))) process.stdout.write(piece);`

// unpacked gives what unlzma.js makes of a file, under node.
func unpacked(t *testing.T, packed []byte) ([]byte, error) {
	t.Helper()
	script, err := filepath.Abs(filepath.Join("static", "unlzma.js"))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "packed")
	if err := os.WriteFile(path, packed, 0o600); err != nil {
		t.Fatal(err)
	}
	return exec.Command(program(t, "node"), "--input-type=module", "-e", unpack, script, path).Output()
}

// packed compresses with another implementation.
func packed(t *testing.T, content []byte, level int) []byte {
	t.Helper()
	var b bytes.Buffer
	w := lzma.NewWriterSizeLevel(&b, int64(len(content)), level)
	if _, err := w.Write(content); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestUnlzma: every kind of content comes back as it was, and what is cut off or damaged
// is an error or has the length that it says.
func TestUnlzma(t *testing.T) {
	t.Parallel()
	random := rand.NewChaCha8([32]byte{18})
	noise := make([]byte, 700_000)
	random.Read(noise)
	var mixed []byte // matches near and far, long and short, at distances of before
	for i := range 20_000 {
		at := int(random.Uint64() % uint64(len(noise)-300))
		mixed = append(mixed, noise[at:at+int(random.Uint64()%uint64(3+i%270))]...)
		mixed = append(mixed, byte(i))
	}
	source, err := os.ReadFile("unlzma_test.go")
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string][]byte{
		"one byte": {7}, "zeros": make([]byte, 1<<20), "noise": noise, "mixed": mixed, "text": source,
		"far": append(append(bytes.Clone(noise[:1000]), make([]byte, 3<<20)...), noise[:1000]...),
	} {
		for _, level := range []int{1, 6} {
			if got, err := unpacked(t, packed(t, content, level)); err != nil || !bytes.Equal(got, content) {
				t.Errorf("%s, level %d: %d bytes, want %d; %v", name, level, len(got), len(content), err)
			}
		}
	}
	whole := packed(t, mixed, 6)
	if got, err := unpacked(t, whole[:len(whole)/2]); err == nil {
		t.Errorf("half a file gives %d bytes and no error", len(got))
	}
	damaged := bytes.Clone(whole)
	damaged[0] = 255
	if got, err := unpacked(t, damaged); err == nil {
		t.Errorf("properties that cannot be give %d bytes and no error", len(got))
	}
}

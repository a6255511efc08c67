package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/race"
)

// TestSameInWebAssembly measures all samples and, where they are present, all
// recordings with the program as WebAssembly under node and with the native one
// without SIMD: the JSON is the same to the last byte. (With SIMD, sums are added in
// another order and differ in their last digits.)
func TestSameInWebAssembly(t *testing.T) {
	if race.Enabled || testing.Short() {
		t.Skip("builds the program twice, and measures everything twice")
	}
	node, runner := nodeWith(t, "wasm_exec_node.js")
	native, wasm := bothBuilds(t, ".")

	clips, _ := filepath.Glob(filepath.Join(root, "samples", "*.wav")) // the pattern is right
	recordings, _ := filepath.Glob(filepath.Join(root, "..", "shared", "recordings", "*", "*.wav"))
	if len(recordings) == 0 {
		t.Log("without the recordings, which are not part of this repository")
	}
	args := append([]string{"measure", "--limit", "13500", "--idle", "2800", "--format", "json"}, append(clips, recordings...)...)
	want := outputOf(t, exec.Command(native, args...))
	got := outputOf(t, exec.Command(node, append([]string{"--stack-size=8192", runner, wasm}, args...)...))
	wants, gots := bytes.Split(want, []byte("\n")), bytes.Split(got, []byte("\n"))
	if len(wants) != len(gots) {
		t.Fatalf("%d lines of JSON, want %d", len(gots), len(wants))
	}
	for i := range wants {
		if !bytes.Equal(wants[i], gots[i]) {
			t.Errorf("line %d differs:\n%.2000s\nwant\n%.2000s", i+1, gots[i], wants[i])
		}
	}
	if len(want) < 10_000*len(clips) { // each has its track
		t.Errorf("only %d bytes were compared for %d clips", len(want), len(clips)+len(recordings))
	}
	t.Logf("%d samples and %d recordings are the same", len(clips), len(recordings))
}

// nodeWith gives the path of node, and of a file of Go's that runs WebAssembly in it.
// Where there is no node the test is skipped, but not in CI.
func nodeWith(t *testing.T, file string) (node, runner string) {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("node is not installed")
		}
		t.Skip("node is not installed")
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	return node, filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", file)
}

// bothBuilds builds this program without SIMD, and a program as WebAssembly.
func bothBuilds(t *testing.T, program string) (native, wasm string) {
	t.Helper()
	folder := t.TempDir()
	native, wasm = filepath.Join(folder, "topnote"), filepath.Join(folder, "program.wasm")
	build(t, native, ".", []string{"-tags", "noasm"})
	build(t, wasm, program, nil, "GOOS=js", "GOARCH=wasm")
	return native, wasm
}

// build builds a program without its profile, which changes no result.
func build(t *testing.T, to, program string, flags []string, environment ...string) {
	t.Helper()
	c := exec.Command("go", append(append([]string{"build", "-pgo=off", "-o", to}, flags...), program)...)
	c.Env = append(os.Environ(), environment...)
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", c, err, out)
	}
}

// outputOf gives what a measurement prints; that a clip is judged badly, or is no
// engine, is no failure.
func outputOf(t *testing.T, c *exec.Cmd) []byte {
	t.Helper()
	out, err := c.Output()
	if err != nil && c.ProcessState.ExitCode() <= int(failed) {
		t.Fatalf("%.200s: %v", c, err)
	}
	return out
}

package main

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"path/filepath"
	"reflect"
	"testing"

	"topnote/internal/race"
)

// feed runs the program of the live view under node, with the samples of a WAV file in
// pieces as a microphone gives them, and prints a line of JSON for each reading.
const feed = `import fs from "node:fs";
await import(process.argv[1]);
const [, , wasm, wav] = process.argv;
const file = fs.readFileSync(wav), rate = file.readUInt32LE(24);
const sound = new Uint8Array(file).subarray(44);
globalThis.topnoteTell = (reading) => console.log(JSON.stringify(reading));
globalThis.topnoteOpening = () => {};
const ready = new Promise((resolve) => { globalThis.topnoteReady = resolve; });
const go = new Go();
const { instance } = await WebAssembly.instantiate(fs.readFileSync(wasm), go.importObject);
go.run(instance);
await ready;
const problems = [topnoteBegin({ limit: "13,500", idle: "2800" }, null, rate)];
for (let at = 0, n = 0; at < sound.length; at += n) {
  n = 2 * (128 + at % 700);
  problems.push(topnoteSound(sound.slice(at, at + n)));
}
problems.push(topnoteEnd());
for (const p of problems) if (p) throw new Error(p.says);
const refused = topnoteBegin({ limit: "13.500" }, null, rate);
if (!refused.says.includes("13.500") || refused.code !== "entry") throw new Error(JSON.stringify(refused));
process.exit(0);`

// TestListensInWebAssembly: the small program of the live view, as WebAssembly, reads in
// every sample what the whole one reads that is native, without SIMD: all figures of all
// readings are equal. Its own build leaves much out of the packages that it shares.
func TestListensInWebAssembly(t *testing.T) {
	if race.Enabled || testing.Short() {
		t.Skip("builds two programs, and listens to everything twice")
	}
	node, runner := nodeWith(t, "wasm_exec.js")
	native, wasm := bothBuilds(t, "../topnote-listen")
	clips, _ := filepath.Glob(filepath.Join(root, "samples", "*.wav")) // the pattern is right
	all, told := 0, 0
	for _, clip := range clips {
		want := readingsOf(t, outputOf(t, exec.Command(native, "listen", "--limit", "13500", "--idle", "2800", "--format", "json", clip)))
		got := readingsOf(t, outputOf(t, exec.Command(node, "--input-type=module", "-e", feed, runner, wasm, clip)))
		if len(got) != len(want) {
			t.Errorf("%s: %d readings, want %d", clip, len(got), len(want))
			continue
		}
		for i := range want {
			if !reflect.DeepEqual(got[i], want[i]) {
				t.Errorf("%s: reading %d is %v, want %v", clip, i, got[i], want[i])
				break
			}
			if want[i]["rpm"] != nil {
				told++
			}
		}
		all += len(want)
	}
	t.Logf("%d readings of %d samples are the same, %d with a speed", all, len(clips), told)
	if told < 100*len(clips)/2 {
		t.Errorf("only %d readings have a speed", told)
	}
}

// readingsOf gives the readings among lines of JSON.
func readingsOf(t *testing.T, lines []byte) (all []map[string]any) {
	t.Helper()
	for line := range bytes.Lines(lines) {
		var r map[string]any
		if err := json.Unmarshal(line, &r); err != nil {
			t.Fatalf("%v in %s", err, line)
		}
		if r["kind"] == "reading" {
			all = append(all, r)
		}
	}
	return all
}

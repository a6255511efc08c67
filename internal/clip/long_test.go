package clip

import (
	"bytes"
	"io"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/audio/audiotest"
)

// longOptions lets a tenth of a second stay in memory.
func longOptions() Options {
	o := Default()
	o.InMemory = 0.1
	return o
}

// loudFile is four seconds of floats that reach twice full scale.
func loudFile() []byte {
	w := made{rate: 16000, channels: 1, bits: 32, tag: tagFloat}
	return w.file(w.encode(tone(64000, 0.05, 2)))
}

// TestLong: a sound that goes to a file is the same as one that stays in memory,
// scaled down alike, whether its length is known before or not. Where there is no
// folder for temporary files it stays.
func TestLong(t *testing.T) {
	want, err := collect(bytes.NewReader(loudFile()), "-", Default())
	if err != nil {
		t.Fatal(err)
	}
	if len(want.Info.Remarks) == 0 {
		t.Fatal("the sound was not scaled")
	}
	for _, folder := range []string{t.TempDir(), filepath.Join(t.TempDir(), "nowhere")} {
		t.Setenv("TMPDIR", folder)
		for _, r := range []io.Reader{bytes.NewReader(loudFile()), io.MultiReader(bytes.NewReader(loudFile()))} {
			got, err := collect(r, "-", longOptions())
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(audiotest.All(got.Samples), audiotest.All(want.Samples)) || !slices.Equal(got.Info.Remarks, want.Info.Remarks) {
				t.Errorf("in %s: %d samples differ from the %d in memory", folder, got.Samples.Len(), want.Samples.Len())
			}
			if err := got.Close(); err != nil {
				t.Error(err)
			}
		}
	}
}

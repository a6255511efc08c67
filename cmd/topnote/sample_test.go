package main

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"topnote/internal/synth"
)

// TestMayWriteSamples: samples are written into a folder without files of their
// names, and over samples of any earlier version, but over nobody else's files.
func TestMayWriteSamples(t *testing.T) {
	samples := synth.Samples()
	table := synth.SamplesReadme(samples)
	earlier := table[:len(table)/2] + "\n| other.wav | of an earlier version |\n"
	for name, tt := range map[string]struct {
		files map[string]string
		may   bool
	}{
		"an empty folder":       {nil, true},
		"a folder beside":       {map[string]string{"mine.wav": "x"}, true},
		"samples":               {map[string]string{readmeName: table, "rich.wav": "x"}, true},
		"samples left half way": {map[string]string{readmeName: table}, true},
		"earlier samples":       {map[string]string{readmeName: earlier, "rich.wav": "x"}, true},
		"a pass of that name":   {map[string]string{"rich.wav": "x"}, false},
		"another's README":      {map[string]string{readmeName: "# Samples\n\nMine.\n"}, false},
	} {
		folder := t.TempDir()
		for file, text := range tt.files {
			if err := os.WriteFile(filepath.Join(folder, file), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		err := mayWriteSamples(folder, samples, table)
		var refused *usageError
		if tt.may && err != nil || !tt.may && !errors.As(err, &refused) {
			t.Errorf("%s: %v, want it to be allowed: %v", name, err, tt.may)
		}
	}
}

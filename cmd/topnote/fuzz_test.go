package main

import (
	"bytes"
	"context"
	"path/filepath"
	"strings"
	"testing"
)

// FuzzValues gives any text to each flag that reads one. The recording is not
// there, and nothing is named that could be written to: whatever was typed, it
// is refused in one line that cannot move a terminal.
func FuzzValues(f *testing.F) {
	flags := []string{"limit", "idle", "clutch", "strokes", "cylinders", "format", "plot-size", "air", "h", "l", "idle-screw", "date"}
	for i, seed := range []string{"13,500", "NaN", "1e309", "-1", "abc", "text", "18x13cm", "temp=8 altitude=120", "1 1/4", "1/0", "", "2026-05-31 14:30"} {
		f.Add(uint8(i), seed)
	}
	nowhere := filepath.Join(f.TempDir(), "none")
	f.Fuzz(func(t *testing.T, which uint8, value string) {
		name := flags[int(which)%len(flags)]
		var out, errs bytes.Buffer
		args := []string{"measure", filepath.Join(nowhere, "none.wav"), "--plot", filepath.Join(nowhere, "none.png"),
			"--machine", "saw", "--book", filepath.Join(nowhere, "book"), "--" + name + "=" + value}
		got := run(context.Background(), args, streams{strings.NewReader(""), &out, &errs})
		if got != failed && got != wrongUsage {
			t.Errorf("--%s=%q gives status %d", name, value, got)
		}
		line, more, _ := strings.Cut(errs.String(), "\n")
		if !strings.HasPrefix(line, "topnote: ") || !strings.Contains(line, "; ") || more != "" || out.Len() > 0 {
			t.Errorf("--%s=%q prints %q and %q", name, value, out.String(), errs.String())
		}
		if strings.ContainsFunc(line, func(r rune) bool { return r < ' ' }) {
			t.Errorf("--%s=%q: %q can move a terminal", name, value, line)
		}
	})
}

package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/web/offline"
)

// TestPage writes the files for a phone twice, and says what to do where the program
// was built without them. The service worker, which lists all others, comes last.
func TestPage(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "page")
	for range 2 {
		var out strings.Builder
		err := writePage(&out, folder)
		if _, errBuilt := offline.Files(); errBuilt != nil {
			if err == nil || !strings.Contains(err.Error(), "built without the files for a phone; ") || os.Getenv("CI") == "true" {
				t.Errorf("without the files: %v", err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSpace(out.String()), "\n")
		for _, path := range lines {
			if info, err := os.Stat(path); err != nil || info.Size() == 0 {
				t.Errorf("it prints %q: %v", path, err)
			}
		}
		count := 0
		if err := filepath.WalkDir(folder, func(_ string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				count++
			}
			return err
		}); err != nil || count != len(lines) {
			t.Errorf("%d files (%v), and it prints %q", count, err, lines)
		}
		if !strings.HasSuffix(lines[len(lines)-1], "sw.js") {
			t.Errorf("it prints %q", lines)
		}
	}
	if got := run(t.Context(), []string{"page"}, streams{strings.NewReader(""), &strings.Builder{}, &strings.Builder{}}); got != wrongUsage {
		t.Errorf("status %d without a folder", got)
	}
}

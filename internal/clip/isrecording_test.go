package clip_test

import (
	"os"
	"path/filepath"
	"testing"

	"topnote/internal/clip"
)

// TestIsRecording: by content or by ending, and neither a letter nor a picture.
func TestIsRecording(t *testing.T) {
	folder := t.TempDir()
	wav := []byte("RIFF\x24\x00\x00\x00WAVEfmt \x10\x00\x00\x00")
	for _, c := range []struct {
		name    string
		content []byte
		want    bool
	}{
		{"pass.wav", wav, true},
		{"pass", wav, true},                    // by content
		{"pass.txt", wav, true},                // the content counts more than the name
		{"voice.opus", nil, true},              // by ending: that it is empty has to be said
		{"VIDEO.MOV", []byte("damaged"), true}, // by ending, in capitals
		{"letter.txt", []byte("Dear customer"), false},
		{"empty", nil, false},
		{"short", []byte("RIFF"), false},
		{"photo.jpg", []byte("\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00"), false},
		{"page.html", []byte("<!DOCTYPE html><html>"), false},
		{"report.json", []byte(`{"schema":"topnote.report/1"}`), false},
	} {
		path := filepath.Join(folder, c.name)
		if err := os.WriteFile(path, c.content, 0o644); err != nil {
			t.Fatal(err)
		}
		if got := clip.IsRecording(path); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	if clip.IsRecording(filepath.Join(folder, "missing")) || clip.IsRecording(folder) {
		t.Error("a missing file or a folder is a recording")
	}
}

package clip

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// IsRecording reports whether a file looks like a recording, for picking the
// recordings out of a folder: by its first bytes, or by the ending of its name,
// so that an empty or damaged one is not passed over without a word. Open says
// whether it can be read; it never goes by the name.
func IsRecording(path string) bool {
	if slices.Contains(soundEndings(), strings.ToLower(filepath.Ext(path))) {
		return true
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close() // only read from: nothing can be lost
	head := make([]byte, sniffed)
	n, _ := io.ReadFull(f, head) // a short file is judged by what it holds
	if n < shortestHead {
		return false
	}
	k := sniff(head[:n])
	return k.name != "" && !k.silent
}

// soundEndings lists what names of sound and video files end in.
func soundEndings() []string {
	return []string{
		".wav", ".wave", ".rf64", ".bwf", ".w64", ".aif", ".aiff", ".aifc", ".caf", ".au", ".flac", ".ogg", ".oga", ".opus", ".mp3",
		".m4a", ".aac", ".amr", ".awb", ".3gp", ".3gpp", ".3ga", ".wma", ".webm", ".weba", ".mka", ".mkv", ".mp4", ".m4v", ".mov", ".avi", ".wmv",
	}
}

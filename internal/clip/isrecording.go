package clip

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// IsRecording reports whether a file looks like a recording, to find the
// recordings in a folder: by its first bytes, or by its extension, so that an empty
// or damaged one is reported and not ignored. Open says whether it can be read, and
// never by the extension.
func IsRecording(path string) bool {
	if slices.Contains(soundExtensions(), strings.ToLower(filepath.Ext(path))) {
		return true
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close() // only read from: nothing can be lost
	head := make([]byte, sniffBytes)
	n, _ := io.ReadFull(f, head) // a short file is judged by what it holds
	if n < minHead {
		return false
	}
	k := sniff(head[:n])
	return k.name != "" && !k.notSound
}

// soundExtensions lists the extensions of sound and video files.
func soundExtensions() []string {
	return []string{
		".wav", ".wave", ".rf64", ".bwf", ".w64", ".aif", ".aiff", ".aifc", ".caf", ".au", ".flac", ".ogg", ".oga", ".opus", ".mp3",
		".m4a", ".aac", ".amr", ".awb", ".3gp", ".3gpp", ".3ga", ".wma", ".webm", ".weba", ".mka", ".mkv", ".mp4", ".m4v", ".mov", ".avi", ".wmv",
	}
}

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
)

// endings are the file name extensions of the forms of a result.
var endings = map[string]string{
	formatText: ".txt", formatJSON: ".json", formatCSV: ".csv", formatHTML: ".html", formatVTT: ".vtt",
}

// resultNames gives the result of each clip a file name of its own in a folder.
type resultNames struct {
	clips []string
	used  map[string]bool // in lower case: some file systems ignore case
}

func newResultNames(clips []string) *resultNames {
	return &resultNames{clips: clips, used: map[string]bool{}}
}

// unused gives the path in a folder for the result of a clip: the clip's own name
// with another extension; where that is used, the name of its folder before it;
// where that is used too, a number after it. It never gives the path of one of the
// clips, not even by way of a link.
func (n *resultNames) unused(folder, clip, ending string) string {
	base := safeName(clip)
	parent := base
	if dir := filepath.Base(filepath.Dir(clip)); strings.Trim(dir, `./\`) != "" {
		parent = safeName(dir) + " " + base
	}
	for i := 1; ; i++ {
		name := base
		switch {
		case i == 2:
			name = parent
		case i > 2:
			name = fmt.Sprintf("%s-%d", base, i-1)
		}
		path := filepath.Join(folder, name+ending)
		if key := strings.ToLower(name); !n.used[key] && !n.isClip(path) {
			n.used[key] = true
			return path
		}
	}
}

// isClip reports whether a path is one of the recordings.
func (n *resultNames) isClip(path string) bool {
	if _, err := os.Stat(path); err != nil {
		return false
	}
	return slices.ContainsFunc(n.clips, func(clip string) bool { return clip != standardInput && sameFile(path, clip) })
}

// safeName gives the name of a clip without folder and extension in a form that
// every system accepts: letters, digits and a few signs, not too long, and not a
// reserved name.
func safeName(clip string) string {
	if clip == standardInput {
		return "standard-input"
	}
	const longest = 80 // characters; of any script they fit in 255 bytes, with what is added
	name := strings.TrimSuffix(filepath.Base(clip), filepath.Ext(clip))
	name = strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) || strings.ContainsRune(" ._-()", c) {
			return c
		}
		return '_'
	}, name)
	if letters := []rune(name); len(letters) > longest {
		name = string(letters[:longest])
	}
	name = strings.Trim(name, " .")
	switch {
	case strings.Trim(name, "_") == "":
		return "recording"
	case reserved(name):
		return name + "_"
	}
	return name
}

// reserved reports whether Windows keeps a name for a device, with any ending.
//
// Source: Microsoft, Naming Files, Paths, and Namespaces.
func reserved(name string) bool {
	stem, _, _ := strings.Cut(strings.ToUpper(name), ".")
	if len(stem) == 4 && (strings.HasPrefix(stem, "COM") || strings.HasPrefix(stem, "LPT")) {
		return unicode.IsDigit(rune(stem[3]))
	}
	return slices.Contains([]string{"CON", "PRN", "AUX", "NUL"}, stem)
}

package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// TestSafeName: a name that every system accepts. Source of what they refuse: POSIX
// (the stroke); Microsoft, Naming Files, Paths, and Namespaces (the rest).
func TestSafeName(t *testing.T) {
	for clip, want := range map[string]string{
		"saw 1.wav": "saw 1", "a/b/Säge (2).m4a": "Säge (2)", "-": "standard-input", "..wav": "recording", ".wav": "recording",
		"a:b*c?.wav": "a_b_c_", "con.wav": "con_", "COM1.tar.wav": "COM1.tar_", "lpt0.wav": "lpt0_", "comb.wav": "comb", "trailing. .wav": "trailing",
		"x\x1b[31m\n.wav": "x__31m_", "???.wav": "recording", "no ending": "no ending",
	} {
		if got := safeName(clip); got != want {
			t.Errorf("%q becomes %q, want %q", clip, got, want)
		}
	}
}

// TestNames: whatever the clips are called, each result gets a name of its own,
// within the folder, with its ending.
func TestNames(t *testing.T) {
	folder := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		clips := rapid.SliceOfN(rapid.OneOf(
			rapid.SampledFrom([]string{"a/x.wav", "A/X.mp3", "b/x.wav", "x.ogg", "../x.wav", "b/x-2.wav", "b x.wav", "-"}),
			rapid.String(), rapid.StringN(60, 300, 300)), 1, 12).Draw(rt, "clips")
		n := newResultNames(clips)
		seen := map[string]bool{}
		for _, clip := range clips {
			path := n.unused(folder, clip, ".html")
			key := strings.ToLower(path)
			if seen[key] {
				rt.Fatalf("%q gets the name of another: %s", clip, path)
			}
			seen[key] = true
			base := filepath.Base(path)
			if filepath.Dir(path) != folder || !strings.HasSuffix(base, ".html") || !utf8.ValidString(base) || strings.ContainsAny(base, "/\\:*?\"<>|\n\x00") || base[0] == '.' {
				rt.Fatalf("%q gets %q", clip, path)
			}
			if utf8.RuneCountInString(base) > 200 {
				rt.Fatalf("%q gets a name of %d letters", clip, utf8.RuneCountInString(base))
			}
		}
	})
}

// TestNamesSpareClips: a recording that has the name of a result is not written
// over, not even by way of a link.
func TestNamesSpareClips(t *testing.T) {
	folder := t.TempDir()
	clip, link := filepath.Join(folder, "pass.wav"), filepath.Join(folder, "pass.html")
	if err := errors.Join(os.WriteFile(clip, nil, 0o644), os.Symlink(clip, link)); err != nil {
		t.Skip("this system makes no links:", err)
	}
	if got := newResultNames([]string{clip}).unused(folder, clip, ".html"); got == link {
		t.Error("the result would be written over the recording that its name leads to")
	}
}

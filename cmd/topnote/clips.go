package main

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"topnote/internal/clip"
)

// expand turns arguments into the names of recordings: a folder stands for the
// recordings in it and below it, a pattern that the shell left alone for the files
// that match it. A recording that is named more than once is measured once. An
// argument without any recording is reported on errs and counts as a failure.
func (r *request) expand(args []string, errs io.Writer) status {
	result := measured
	seen := map[string]bool{}
	r.several = len(args) > 1
	for _, arg := range args {
		found, err := recordings(arg)
		if err != nil {
			fmt.Fprintln(errs, errorLine(arg, err))
			result = failed
		}
		r.several = r.several || len(found) != 1 || found[0] != arg
		for _, name := range found {
			if name == standardInput || !seen[filepath.Clean(name)] {
				seen[filepath.Clean(name)] = true
				r.clips = append(r.clips, name)
			}
		}
	}
	return result
}

// recordings gives the recordings that a name stands for.
func recordings(arg string) ([]string, error) {
	if arg == standardInput {
		return []string{arg}, nil
	}
	info, err := os.Stat(arg)
	switch {
	case err == nil && info.IsDir():
		return inFolder(arg)
	case err == nil || !strings.ContainsAny(arg, `*?[`):
		return []string{arg}, nil // if it is not there, measuring it says so
	}
	found, err := filepath.Glob(arg)
	if err != nil || len(found) == 0 {
		return nil, saysNoMatch()
	}
	return found, nil
}

// inFolder gives the recordings in a folder and below it, in order of name.
// Hidden files are left out, and links to folders are not followed.
func inFolder(folder string) ([]string, error) {
	var found []string
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if path != folder && strings.HasPrefix(d.Name(), ".") {
			if d.IsDir() {
				return filepath.SkipDir
			}
			return nil
		}
		if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() && clip.IsRecording(path) {
			found = append(found, path)
		}
		return nil
	})
	if err != nil {
		return found, saysCannotList(withoutPath(err))
	}
	if len(found) == 0 {
		return nil, saysNoRecordings()
	}
	return found, nil
}

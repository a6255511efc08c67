package main

import (
	"fmt"
	"runtime/debug"
)

// release is the version that .ci/release stamps into a binary; "" for what was
// built from a checkout.
var release string

// version gives what --version prints behind the name: the release or the
// version that the Go tool made up, the commit that it was built from, whether
// anything was changed since, and the version of Go.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return describe(release, &debug.BuildInfo{})
	}
	return describe(release, info)
}

// describe puts a version into words, from the release and what the Go tool
// knows of the build.
func describe(release string, info *debug.BuildInfo) string {
	if release == "" {
		release = info.Main.Version
	}
	if release == "" || release == "(devel)" {
		release = "unreleased"
	}
	commit, changed := "unknown", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			const shown = 12 // enough for a name among millions
			commit = s.Value[:min(shown, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = " with changes"
		}
	}
	return fmt.Sprintf("%s, commit %s%s, %s", release, commit, changed, info.GoVersion)
}

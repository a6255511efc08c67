package main

import (
	"os/exec"
	"regexp"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
)

func TestDescribe(t *testing.T) {
	commit := []debug.BuildSetting{{Key: "vcs.revision", Value: "0123456789abcdef0123456789abcdef01234567"}, {Key: "vcs.modified", Value: "false"}}
	changed := []debug.BuildSetting{commit[0], {Key: "vcs.modified", Value: "true"}}
	for want, c := range map[string]struct {
		release string
		info    debug.BuildInfo
	}{
		"1.2.0, commit 0123456789ab, go1.26.0":               {"1.2.0", debug.BuildInfo{GoVersion: "go1.26.0", Settings: commit}},
		"v0.0.1, commit 0123456789ab with changes, go1.26.0": {"", debug.BuildInfo{GoVersion: "go1.26.0", Main: debug.Module{Version: "v0.0.1"}, Settings: changed}},
		"unreleased, commit unknown, go1.26.0":               {"", debug.BuildInfo{GoVersion: "go1.26.0", Main: debug.Module{Version: "(devel)"}}},
		"1.2.0, commit abc, go1.26.0":                        {"1.2.0", debug.BuildInfo{GoVersion: "go1.26.0", Settings: []debug.BuildSetting{{Key: "vcs.revision", Value: "abc"}}}},
	} {
		if got := describe(c.release, &c.info); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// TestVersion: the built program tells its version, commit and Go.
func TestVersion(t *testing.T) {
	out, err := exec.Command(program, "--version").Output()
	if err != nil {
		t.Fatal(err)
	}
	if line := regexp.MustCompile(`^topnote \S+, commit (unknown|[0-9a-f]{12})( with changes)?, go\S+( \S+)*\n$`); !line.Match(out) || !strings.Contains(string(out), runtime.Version()) {
		t.Errorf("--version prints %q", out)
	}
}

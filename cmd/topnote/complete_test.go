package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// offered gives what the program offers a shell for the last of some words.
func offered(t *testing.T, words ...string) (offers []string, directive string) {
	t.Helper()
	cmd := exec.Command(program, append([]string{"__complete"}, words...)...)
	cmd.Env = append(os.Environ(), "XDG_DATA_HOME="+t.TempDir())
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%q: %v", words, err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	return lines[:len(lines)-1], lines[len(lines)-1]
}

// The directives that are looked for, as cobra's scripts read them.
const (
	anyFile   = ":0"
	noFile    = ":4"
	onlyFiles = ":8" // with the endings that were offered
)

func TestComplete(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.sqlite")
	if out, err := exec.Command(program, "book", "import", filepath.Join(root, "docs", "example-book.json"), "--book", path).CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, out)
	}
	for _, c := range []struct {
		words     string
		want      []string // some of what is offered
		directive string
	}{
		{"measure x.wav --format ''", formats(), noFile},
		{"compare x.wav --format h", []string{"html"}, noFile},
		{"measure x.wav --strokes ''", []string{"2", "4"}, noFile},
		{"measure x.wav --plot ''", []string{"png", "svg"}, onlyFiles},
		{"measure x.wav --limit ''", nil, noFile},
		{"measure ''", nil, anyFile},
		{"air --units ''", []string{"metric", "us"}, noFile},
		{"completion ''", []string{"bash", "zsh", "fish", "powershell"}, noFile},
		{"book import ''", []string{"json"}, onlyFiles},
		{"measure x.wav --book BOOK --machine ''", []string{"bench saw"}, noFile},
		{"book trend --book BOOK ''", []string{"bench saw"}, noFile},
		{"book show --book BOOK ''", []string{"1\t2026-"}, noFile},
		{"book trend --book /none ''", nil, noFile},
		{"book trend ''", nil, noFile},
		{"meas", []string{"measure\t"}, noFile},
	} {
		words := strings.Fields(c.words)
		for i, w := range words {
			words[i] = strings.NewReplacer("BOOK", path, "''", "").Replace(w)
		}
		offers, directive := offered(t, words...)
		if directive != c.directive || c.want == nil && len(offers) > 0 {
			t.Errorf("%s: offered %q and directive %s, want %s", c.words, offers, directive, c.directive)
		}
		for _, w := range c.want {
			if !slices.ContainsFunc(offers, func(o string) bool { return strings.HasPrefix(o, w) }) {
				t.Errorf("%s: offered %q, want %q among them", c.words, offers, w)
			}
		}
	}
}

// TestFormsAreTaken: each command names, when it refuses a form, just the forms
// that the shell offers for it.
func TestFormsAreTaken(t *testing.T) {
	more := map[string]string{ // what each needs to get so far
		"topnote measure": "a.wav", "topnote listen": "-", "topnote compare": "a.wav b.wav", "topnote air": "--temp 20 --altitude 0",
		"topnote book show": "1", "topnote book why": "1", "topnote book trend": "saw",
	}
	for command, has := range forms() {
		args := append(strings.Fields(command + " " + more[command])[1:], "--format", "none")
		out, err := exec.Command(program, args...).CombinedOutput()
		want := "use " + strings.Join(has[:len(has)-1], ", ") + " or " + has[len(has)-1] + "\n"
		if err == nil || !strings.HasSuffix(string(out), want) {
			t.Errorf("%q says %q, want %q at its end", args, out, want)
		}
	}
}

// TestCompletionScripts: each shell that is here takes its script.
func TestCompletionScripts(t *testing.T) {
	for shell, check := range map[string][]string{"bash": {"bash", "-n"}, "zsh": {"zsh", "-n"}, "fish": {"fish", "-n"}, "powershell": nil} {
		script, err := exec.Command(program, "completion", shell).Output()
		if err != nil || !strings.Contains(string(script), "topnote") {
			t.Errorf("%s: %v, %d bytes", shell, err, len(script))
			continue
		}
		if check == nil {
			continue
		}
		if _, err := exec.LookPath(check[0]); err != nil {
			t.Logf("there is no %s here to read its script", shell)
			continue
		}
		cmd := exec.Command(check[0], check[1:]...)
		cmd.Stdin = strings.NewReader(string(script))
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s does not take its script: %v\n%s", shell, err, out)
		}
	}
}

package main

import (
	"bufio"
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"topnote/internal/verdict"
)

// commandsOf gives the lines of the README's sh blocks, without comments.
func commandsOf(t *testing.T) []string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	inside := false
	for s := bufio.NewScanner(bytes.NewReader(text)); s.Scan(); {
		switch line, _, _ := strings.Cut(s.Text(), " #"); {
		case strings.HasPrefix(line, "```"):
			inside = line == "```sh"
		case inside && strings.TrimSpace(line) != "":
			lines = append(lines, strings.TrimSpace(line))
		}
	}
	return lines
}

// goRun is how a newcomer runs the program in a checkout.
const goRun = "go run ./cmd/topnote "

// TestReadme runs the README's commands. The first two must be the ones that a
// newcomer types on a fresh clone; `go test ./...` is what runs this.
func TestReadme(t *testing.T) {
	commands := commandsOf(t)
	if len(commands) < 2 || !strings.HasPrefix(commands[0], goRun+"measure samples/") || commands[1] != "go test ./..." {
		t.Fatalf("the README opens with %q", commands)
	}
	commands = slices.DeleteFunc(commands, func(c string) bool {
		return c == "go test ./..." || strings.HasPrefix(c, "topnote sample ") || // testdata/script/sample.txtar runs that, for its ten seconds
			strings.HasPrefix(c, "topnote page ") || // TestPage, which knows whether the files are built
			strings.HasPrefix(c, "arecord ") // needs a microphone
	})
	if n := len(commands); n < 5 {
		t.Errorf("there are only %d commands to run", n)
	}
	for _, command := range commands {
		t.Run(command, func(t *testing.T) {
			t.Parallel()
			runReadme(t, command)
		})
	}
}

// runReadme runs a command of the README with the built program: in the checkout
// where it begins with goRun, otherwise beside the recordings that the README
// names.
func runReadme(t *testing.T, command string) {
	folder := root
	args, inCheckout := strings.CutPrefix(command, goRun)
	if !inCheckout {
		folder = folderWithPass(t)
		var known bool
		if args, known = strings.CutPrefix(command, "topnote "); !known {
			t.Fatal("this test does not know how to run it")
		}
	}
	cmd := exec.Command(program, strings.Fields(strings.ReplaceAll(args, "'", ""))...) // quotes keep patterns from the shell
	cmd.Dir = folder
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil || errs.Len() > 0 {
		t.Errorf("%v\n%s", err, errs.String())
	}
	if len(out) == 0 && !strings.Contains(command, "--out") {
		t.Error("it prints nothing")
	}
	wantWritten(t, command, folder)
}

// wantWritten wants the files and folders that a command names.
func wantWritten(t *testing.T, command, folder string) {
	t.Helper()
	words := strings.Fields(command)
	for i, word := range words[:len(words)-1] {
		if word == "--out" || word == "--plot" || word == "--summary" {
			if info, err := os.Stat(filepath.Join(folder, words[i+1])); err != nil || info.Size() == 0 {
				t.Errorf("%s writes no %s", command, words[i+1])
			}
		}
	}
}

// folderWithPass gives a folder with the recordings that the README talks of.
func folderWithPass(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "passes"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, sample := range map[string]string{
		"pass.wav": "rich", "good.wav": "rich", "today.wav": "mixed", "passes/1.wav": "rich", "passes/2.wav": "high-idle",
	} {
		pass, err := os.ReadFile(filepath.Join(root, "samples", sample+".wav"))
		if err := errors.Join(err, os.WriteFile(filepath.Join(folder, name), pass, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

// TestReadmeLinks: what the README and DEVELOPERS.md point to is there.
func TestReadmeLinks(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^):#]+)\)`)
	for _, page := range []string{"README.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile(filepath.Join(root, page))
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range link.FindAllSubmatch(text, -1) {
			if _, err := os.Stat(filepath.Join(root, string(m[1]))); err != nil {
				t.Errorf("%s points to %s: %v", page, m[1], err)
			}
		}
	}
}

// allCodes gives every code that a verdict can have.
func allCodes() []verdict.Code {
	return []verdict.Code{
		verdict.OverLimit, verdict.AtLimit, verdict.CleanBelowLimit, verdict.SparkLimited, verdict.RichInCut,
		verdict.FourStroking, verdict.BelowLimit, verdict.NoLimit, verdict.NotEnough, verdict.NoEngine,
	}
}

// TestReadmeNamesEveryCode: the table of verdicts and the program agree.
func TestReadmeNamesEveryCode(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, code := range allCodes() {
		if !bytes.Contains(text, []byte("| `"+string(code)+"` |")) {
			t.Errorf("the README's table lacks %s", code)
		}
	}
}

// TestStatus pins the exit status of every code, and that danger outranks all.
func TestStatus(t *testing.T) {
	for _, code := range allCodes() {
		want := measured
		switch code {
		case verdict.OverLimit, verdict.AtLimit:
			want = dangerous
		case verdict.NoEngine, verdict.NotEnough:
			want = noResult
		}
		if got := statusOfVerdict(string(code)); got != want {
			t.Errorf("%s gives status %d, want %d", code, got, want)
		}
	}
	order := []status{dangerous, failed, noResult, measured}
	for i, a := range order {
		for j, b := range order {
			if got, want := a.worse(b), order[min(i, j)]; got != want {
				t.Errorf("status %d and %d together give %d, want %d", a, b, got, want)
			}
		}
	}
	for want, s := range []status{measured, failed, wrongUsage, noResult, dangerous} {
		if int(s) != want {
			t.Errorf("a status is %d, want %d", s, want)
		}
	}
}

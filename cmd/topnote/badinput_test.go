package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"

	"topnote/internal/report"
)

// badInput is one way in which what the program is given can be wrong.
type badInput struct {
	what  string            // the row of docs/bad-input.md
	args  string            // as wordsOf reads them; the folder holds nothing but files
	files map[string][]byte // by name, made before
	rig   func(*rig)        // what args and files cannot do; nil: nothing
	want  status
	says  string // part of the sentence, by hand
	still bool   // the result is printed all the same
}

// rig is a bad input before it runs: its folder, and the command to change.
type rig struct {
	*testing.T
	folder string
	cmd    *exec.Cmd
}

// badGroups gives every bad input, in the parts of the page.
func badGroups() []struct {
	title string
	cases []badInput
} {
	return []struct {
		title string
		cases []badInput
	}{
		{"Files that are no recordings", noRecordings()},
		{"Damaged and lying WAV files", badWAVs()},
		{"Damaged files of other kinds", badOthers()},
		{"Recordings that hold too little", tooLittle()},
		{"Pipes, devices and rights", badStreams()},
		{"Places that cannot be written to", badPlaces()},
		{"Values of flags", badFlags()},
		{"The air", badAir()},
		{"Screws, days and machines", badConditions()},
		{"The book's file", badBooks()},
		{"Exports to import", badImports()},
	}
}

// TestBadInput runs the program on every bad input. Whatever it is given, it
// ends with the status that its help promises and one sentence that says what
// is wrong and what to do, and leaves every file as it was. The sentences are
// in docs/bad-input.md; -update writes them there.
func TestBadInput(t *testing.T) {
	page := newBadPage(t)
	names := map[string]bool{}
	t.Run("inputs", func(t *testing.T) {
		for _, group := range badGroups() {
			for _, c := range group.cases {
				if names[c.what] {
					t.Errorf("%q stands there twice", c.what)
				}
				names[c.what] = true
				t.Run(c.what, func(t *testing.T) {
					t.Parallel()
					page.put(c, c.run(t))
				})
			}
		}
	})
	if n := len(names); n < 60 {
		t.Errorf("only %d bad inputs are tried", n)
	}
	page.check(t)
}

// run runs the program on the input, holds it to the rules, and gives what it
// said.
func (c badInput) run(t *testing.T) string {
	folder := t.TempDir()
	for name, body := range c.files {
		path := filepath.Join(folder, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, body, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	args := wordsOf(c.args)
	if c.want == noResult {
		args = append(args, "--format", "json")
	}
	cmd := exec.CommandContext(t.Context(), program, args...)
	cmd.Dir = folder
	// No ffmpeg, and no book of the user's.
	cmd.Env = []string{"PATH=" + folder, "XDG_DATA_HOME=" + filepath.Join(folder, "data"), "TMPDIR=" + t.TempDir()}
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if c.rig != nil {
		c.rig(&rig{t, folder, cmd})
	}
	before := snapshot(t, folder)
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	if got := cmd.ProcessState.ExitCode(); got != int(c.want) {
		t.Errorf("exit status %d, want %d", got, c.want)
	}
	if after := snapshot(t, folder); after != before {
		t.Errorf("it was\n%s\nand is\n%s", before, after)
	}
	said := c.sentence(t, out.Bytes(), errs.String())
	if !strings.Contains(said, c.says) {
		t.Errorf("it says %q, want %q in it", said, c.says)
	}
	return said
}

// jargon is words that somebody who tunes engines need not know.
var jargon = regexp.MustCompile(`\b(EOF|strconv|panic|goroutine|runtime|nil|unmarshal|sql|SQLITE\w*|errno|syscall|invalid argument|struct|parsing)\b|json:|:\s*$|\.go:|%!`)

// sentence gives what a run said. A refusal is one line on the error stream and
// nothing else anywhere; where nothing was measured that can be stood behind,
// the report says so, on standard output.
func (c badInput) sentence(t *testing.T, out []byte, errs string) string {
	t.Helper()
	if c.want == noResult {
		r, err := report.ReadJSON(bytes.NewReader(out))
		if err != nil || errs != "" {
			t.Fatalf("printed %q and %q (%v)", out, errs, err)
		}
		said := []string{r.Verdict.Says}
		for _, remark := range r.Clip.Remarks {
			said = append(said, "("+remark+")")
		}
		for _, p := range r.Quality.Problems {
			said = append(said, p.Says)
		}
		return strings.Join(said, " ")
	}
	line, more, _ := strings.Cut(errs, "\n")
	said, named := strings.CutPrefix(line, "topnote: ")
	if !named || more != "" || len(out) > 0 != c.still || !strings.Contains(said, "; ") {
		t.Fatalf("printed %q and %q; want one line that says what is wrong; what to do", out, errs)
	}
	if jargon.MatchString(said) || strings.ContainsFunc(said, func(r rune) bool { return r < ' ' }) {
		t.Errorf("%q is no sentence for people", said)
	}
	return said
}

// snapshot lists what is in a folder and below it, with a sum of each file.
func snapshot(t *testing.T, folder string) string {
	t.Helper()
	var list strings.Builder
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if strings.HasSuffix(path, "-shm") { // who reads a book leaves marks there
			return nil
		}
		if err != nil || !d.Type().IsRegular() {
			fmt.Fprintln(&list, path, d.Type(), err)
			return nil
		}
		body, err := os.ReadFile(path)
		fmt.Fprintf(&list, "%s %x %v\n", path, sha256.Sum256(body), err)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return list.String()
}

// badPage is docs/bad-input.md.
type badPage struct {
	path string
	was  string
	mu   sync.Mutex
	rows map[string]string
}

func newBadPage(t *testing.T) *badPage {
	t.Helper()
	p := &badPage{path: filepath.Join(root, "docs", "bad-input.md"), rows: map[string]string{}}
	text, err := os.ReadFile(p.path)
	if err != nil && !*update {
		t.Fatal(err)
	}
	p.was = string(text)
	for line := range strings.Lines(p.was) {
		if name, _, found := strings.Cut(strings.TrimPrefix(line, "| "), " | "); found {
			p.rows[name] = strings.TrimSuffix(line, "\n") // stays where a case is skipped
		}
	}
	return p
}

// cell writes text into a table of Markdown so that it shows as it is.
var cell = strings.NewReplacer("|", `\|`, "*", `\*`, "<", `\<`, "_", `\_`, "`", "\\`", "\\", `\\`)

func (p *badPage) put(c badInput, said string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	said = strings.ReplaceAll(said, tooLong, "nnn...")
	p.rows[cell.Replace(c.what)] = fmt.Sprintf("| %s | %d | %s |", cell.Replace(c.what), c.want, cell.Replace(said))
}

// check holds the page to what was said, or writes it anew.
func (p *badPage) check(t *testing.T) {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("the page holds the words of Linux")
	}
	now := p.write()
	if *update {
		if err := os.WriteFile(p.path, []byte(now), 0o644); err != nil {
			t.Fatal(err)
		}
	} else if now != p.was {
		t.Errorf("%s is not what the program says; renew it with go test -run BadInput ./cmd/topnote -update", p.path)
	}
}

func (p *badPage) write() string {
	var b strings.Builder
	io.WriteString(&b, badPageHead)
	for _, group := range badGroups() {
		fmt.Fprintf(&b, "\n## %s\n\n| given | status | it says |\n| --- | --- | --- |\n", group.title)
		for _, c := range group.cases {
			if row := p.rows[cell.Replace(c.what)]; row != "" {
				b.WriteString(row + "\n")
			}
		}
	}
	return b.String()
}

const badPageHead = `# Error messages

Whatever the input, the program ends with an exit status and one sentence: what is
wrong; what to do. No input is changed, and no incomplete file is left. Every row
below was printed by the program, on Linux, without ffmpeg;
` + "`go test -run BadInput ./cmd/topnote`" + ` runs them all and fails if one is no longer
true; with ` + "`-update`" + ` it writes this page.

Status 1 is a failure, 2 wrong usage, 3 no engine or not enough to judge (there the
sentence is in the report; with the other two it is on the error stream, after
"topnote: "). When the program that reads the result through a pipe ends, Topnote
ends without a message, as other programs do.
`

package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"image/png"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/report"
)

// program is the built program; root is the folder of the module.
var program, root string

// TestMain builds the program once: the scripts run what a user runs.
func TestMain(m *testing.M) {
	if path := os.Getenv(holdBook); path != "" {
		os.Exit(hold(path))
	}
	// Where the tests are started with SIGHUP ignored, as by nohup, the programs that they
	// start would ignore it too; caught here, it has its usual effect there.
	signal.Notify(make(chan os.Signal, 1), syscall.SIGHUP)
	os.Exit(withBinary(m.Run))
}

func withBinary(run func() int) int {
	var err error
	if root, err = filepath.Abs(filepath.Join("..", "..")); err != nil {
		panic(err)
	}
	folder, err := os.MkdirTemp("", "topnote-test-*")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(folder)
	program = filepath.Join(folder, "topnote")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "the program does not build: %v\n%s", err, out)
		return 1
	}
	return run()
}

// TestScripts runs testdata/script of the module: one file for each command and
// for each class of bad input. Beside the commands of testscript they have
//
//	status N PROGRAM ARGS...   runs it and wants this exit status
//	files NAME...              wants exactly these files in the folder
//	png WIDTHxHEIGHT FILE      wants a picture of this size in pixels
//	golden NAME                wants the report of testdata/golden on stdout, whatever its track
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:   filepath.Join(root, "testdata", "script"),
		Setup: setup,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": wantStatus,
			"files":  wantFiles,
			"png":    wantPNG,
			"golden": wantGolden,
		},
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}

// setup puts the program on the path and the recordings of the bad kinds beside
// the script.
func setup(env *testscript.Env) error {
	env.Setenv("PATH", filepath.Dir(program)+string(os.PathListSeparator)+os.Getenv("PATH"))
	env.Setenv("SAMPLES", filepath.Join(root, "samples"))
	env.Setenv("ESC", "\x1b")
	made := filepath.Join(env.WorkDir, "made")
	if err := os.Mkdir(made, 0o755); err != nil {
		return err
	}
	env.Setenv("MADE", made)
	rich, err := os.ReadFile(filepath.Join(root, "samples", "rich.wav"))
	if err != nil {
		return err
	}
	const header = 44
	for _, name := range []string{"rich", "over", "clean"} {
		if err := excerpt(name, made); err != nil {
			return err
		}
	}
	short := make(audio.Memory, 8000/5)
	for i := range short {
		short[i] = float32(0.3 * math.Sin(float64(i)))
	}
	return errors.Join(
		clip.WriteWAVFile(filepath.Join(made, "silence.wav"), make(audio.Memory, 16000), 8000),
		clip.WriteWAVFile(filepath.Join(made, "short.wav"), short, 8000),
		os.WriteFile(filepath.Join(made, "empty.wav"), nil, 0o644),
		os.WriteFile(filepath.Join(made, "words.wav"), []byte("This is a letter, not a recording.\n"), 0o644),
		os.WriteFile(filepath.Join(made, "header.wav"), rich[:header/2], 0o644),
		os.WriteFile(filepath.Join(made, "cut.wav"), rich[:len(rich)*6/10], 0o644),
		os.WriteFile(filepath.Join(made, "lie.wav"), lie(rich), 0o644),
	)
}

// excerpt writes 4 s of a sample, from idle into full throttle: enough for its
// verdict, and quicker to measure than the whole.
func excerpt(name, folder string) error {
	s, err := clip.Open(filepath.Join(root, "samples", name+".wav"))
	if err != nil {
		return err
	}
	const from, to = 1.2, 5.2
	rate := float64(s.Rate)
	samples, err := s.Samples.Segment(nil, int(from*rate), int(to*rate))
	if err != nil {
		return err
	}
	return clip.WriteWAVFile(filepath.Join(folder, name+".wav"), audio.Memory(samples), s.Rate)
}

// lie makes a small file claim 4 GB of sound at 4 billion samples a second.
func lie(wav []byte) []byte {
	const rateAt, dataSizeAt, kept = 24, 40, 2000
	b := bytes.Clone(wav[:kept])
	binary.LittleEndian.PutUint32(b[rateAt:], math.MaxUint32)
	binary.LittleEndian.PutUint32(b[dataSizeAt:], math.MaxUint32-1)
	return b
}

func wantStatus(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N program args...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%s did not run: %v", args[1], err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

func wantFiles(ts *testscript.TestScript, neg bool, args []string) {
	var got []string
	ts.Check(filepath.WalkDir(ts.MkAbs("."), func(path string, d fs.DirEntry, err error) error {
		switch name := d.Name(); {
		case err != nil:
			return err
		case d.IsDir() && (name == "made" || name == ".tmp"):
			return filepath.SkipDir
		case d.IsDir():
			return nil
		}
		rel, err := filepath.Rel(ts.MkAbs("."), path)
		got = append(got, filepath.ToSlash(rel))
		return err
	}))
	slices.Sort(got)
	slices.Sort(args)
	if neg || !slices.Equal(got, args) {
		ts.Fatalf("the folder holds %q, want %q", got, args)
	}
}

// wantPNG wants a picture of a size in dots.
func wantPNG(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: png WIDTHxHEIGHT FILE")
	}
	config, err := png.DecodeConfig(strings.NewReader(ts.ReadFile(args[1])))
	ts.Check(err)
	if got := fmt.Sprintf("%dx%d", config.Width, config.Height); got != args[0] {
		ts.Fatalf("%s has %s dots, want %s", args[1], got, args[0])
	}
}

// TestNoPermission runs the program as somebody who may not read the recording.
// Nothing is hidden from the superuser, so for him the program is run as nobody.
func TestNoPermission(t *testing.T) {
	folder := t.TempDir()
	secret := filepath.Join(folder, "secret.wav")
	if err := os.WriteFile(secret, []byte("RIFF"), 0o000); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program, "measure", secret, "--limit", "13500")
	if os.Geteuid() == 0 {
		switch err := hideFrom(cmd, folder); {
		case errors.Is(err, errors.ErrUnsupported):
			t.Skip("this system cannot run a program as nobody:", err)
		case err != nil:
			t.Fatal(err)
		}
	}
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err := cmd.Run()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != int(failed) {
		t.Errorf("status %v, want %d", err, failed)
	}
	want := "topnote: " + secret + ": the file may not be read: permission is missing; "
	if !strings.HasPrefix(errs.String(), want) || out.Len() > 0 {
		t.Errorf("printed %q and %q, want nothing and %q", out.String(), errs.String(), want)
	}
}

// wantGolden holds the JSON that was printed to the report that package measure
// keeps of the same sample.
func wantGolden(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: golden NAME")
	}
	if runtime.GOARCH != "amd64" {
		return // other processors round fused products differently
	}
	r, err := report.ReadJSON(strings.NewReader(ts.ReadFile("stdout")))
	ts.Check(err)
	if len(r.Track) == 0 {
		ts.Fatalf("the report has no track")
	}
	r.Track, r.Clip.File = nil, ""
	var line, got bytes.Buffer
	ts.Check(report.WriteJSON(&line, r))
	ts.Check(json.Indent(&got, line.Bytes(), "", "  "))
	want, err := os.ReadFile(filepath.Join(root, "testdata", "golden", args[0]+".json"))
	ts.Check(err)
	if !bytes.Equal(got.Bytes(), want) {
		ts.Fatalf("the report of %s is not that of testdata/golden:\n%s", args[0], got.Bytes())
	}
}

package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"pgregory.net/rapid"

	"topnote/internal/clip"
	"topnote/internal/synth"
)

// TestInOrder: every name is worked on once, no more at a time than there are
// cores, and what came of it is taken in order.
func TestInOrder(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		names := make([]string, rapid.IntRange(0, 40).Draw(rt, "names"))
		for i := range names {
			names[i] = fmt.Sprint(i)
		}
		slow := rapid.IntRange(1, 5).Draw(rt, "one in")
		var busy, most atomic.Int32
		var got []string
		err := inOrder(context.Background(), names, func(name string) string {
			n := busy.Add(1)
			for old := most.Load(); n > old && !most.CompareAndSwap(old, n); old = most.Load() {
			}
			if len(name)%slow == 0 {
				runtime.Gosched()
			}
			busy.Add(-1)
			return name
		}, func(i int, name string) error {
			if names[i] != name {
				rt.Errorf("place %d gets %s", i, name)
			}
			got = append(got, name)
			return nil
		})
		if err != nil || !slices.Equal(got, names) {
			rt.Fatalf("%v (%v), want %v", got, err, names)
		}
		if n := int(most.Load()); n > runtime.GOMAXPROCS(0) {
			rt.Fatalf("%d at a time on %d cores", n, runtime.GOMAXPROCS(0))
		}
	})
}

// TestInOrderEnds: the first error of take ends it, and so does the context,
// while a piece of work is still under way.
func TestInOrderEnds(t *testing.T) {
	full := errors.New("full")
	taken := 0
	err := inOrder(t.Context(), []string{"a", "b", "c"}, func(string) int { return 0 }, func(i, _ int) error {
		taken++
		if i == 1 {
			return full
		}
		return nil
	})
	if !errors.Is(err, full) || taken != 2 {
		t.Errorf("%v after %d, want the error of the second", err, taken)
	}

	ctx, cancel := context.WithCancel(t.Context())
	never := make(chan struct{})
	defer close(never)
	err = inOrder(ctx, []string{"a", "b", "c"}, func(name string) int {
		if name == "b" {
			cancel()
			<-never
		}
		return 0
	}, func(int, int) error { return nil })
	if err == nil || !strings.Contains(err.Error(), "interrupted after ") {
		t.Errorf("an interrupt gives %v", err)
	}
}

// TestInterrupt sends the built program an interrupt, or closes its terminal, while
// it measures many recordings: it ends soon, says how far it came, every file that
// it left is whole, and no temporary file is left.
func TestInterrupt(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("this system has no interrupt to send")
	}
	for _, s := range []syscall.Signal{syscall.SIGINT, syscall.SIGHUP} {
		t.Run(s.String(), func(t *testing.T) { interruptMeasure(t, s) })
	}
}

// interrupted is a measure command of many recordings, running.
type interrupted struct {
	cmd               *exec.Cmd
	errs              strings.Builder
	out, table, temps string // folder of pages, file of the table, folder for temporary files
	recordings        int
}

// measureMany starts the command and waits until it has written a few pages.
func measureMany(t *testing.T) *interrupted {
	t.Helper()
	folder := t.TempDir()
	in := filepath.Join(folder, "in")
	x := &interrupted{out: filepath.Join(folder, "out"), table: filepath.Join(folder, "all.csv"), temps: t.TempDir(), recordings: 60}
	sound := synth.Samples()[0].Scene.Render()
	if err := os.Mkdir(in, 0o755); err != nil {
		t.Fatal(err)
	}
	for i := range x.recordings {
		if err := clip.WriteWAVFile(filepath.Join(in, fmt.Sprintf("%02d.wav", i)), sound.Samples, sound.Rate); err != nil {
			t.Fatal(err)
		}
	}
	x.cmd = exec.Command(program, "measure", in, "--limit", "13500", "--format", "html", "--out", x.out, "--summary", x.table)
	x.cmd.Env = append(os.Environ(), "TMPDIR="+x.temps, "GOMAXPROCS=2") // with a core for each all would end at once
	x.cmd.Stderr = &x.errs
	if err := x.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	const patience = 5 * time.Minute
	for deadline := time.Now().Add(patience); ; time.Sleep(time.Millisecond) {
		if entries, err := os.ReadDir(x.out); err == nil && len(entries) > 2 {
			return x
		}
		if time.Now().After(deadline) {
			t.Fatalf("nothing was written in %v", patience)
		}
	}
}

func interruptMeasure(t *testing.T, with os.Signal) {
	x := measureMany(t)
	if err := x.cmd.Process.Signal(with); err != nil {
		t.Fatal(err)
	}
	err := x.cmd.Wait()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != int(failed) {
		t.Errorf("status %v, want %d", err, failed)
	}
	if errs := x.errs.String(); !strings.HasPrefix(errs, "topnote: interrupted after ") || strings.Count(errs, "\n") != 1 {
		t.Errorf("it says %q", errs)
	}
	entries, err := os.ReadDir(x.out)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) >= x.recordings {
		t.Errorf("all %d were written, as if nothing had happened", len(entries))
	}
	for _, e := range entries {
		page, err := os.ReadFile(filepath.Join(x.out, e.Name()))
		if err != nil || !strings.HasSuffix(string(page), "</html>\n") || filepath.Ext(e.Name()) != ".html" {
			t.Errorf("%s is not whole: %d bytes (%v)", e.Name(), len(page), err)
		}
	}
	if _, err := os.Stat(x.table); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the table of all is there (%v), and cannot be whole", err)
	}
	if left, err := os.ReadDir(x.temps); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v (%v)", left, err)
	}
}

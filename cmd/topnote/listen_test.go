package main

import (
	"bufio"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
)

// startListen starts `topnote listen -` on the sound of a pass whose end does not come.
func startListen(t *testing.T) (cmd *exec.Cmd, out *os.File) {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("has no such signals")
	}
	sound, err := os.ReadFile(filepath.Join(root, "samples", "over.wav"))
	if err != nil {
		t.Fatal(err)
	}
	cmd = exec.Command(program, "listen", "-", "--limit", "13500", "--format", "json")
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	read, write, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stdout = write
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	write.Close() // the program has its own
	t.Cleanup(func() { _ = cmd.Process.Kill() })
	go in.Write(sound[:len(sound)/2]) // in the middle of the full throttle; in stays open
	return cmd, read
}

// TestListenInterrupted: Ctrl-C ends it in order, and what was open is measured.
func TestListenInterrupted(t *testing.T) {
	cmd, out := startListen(t)
	kinds := map[string]int{}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		var line struct {
			Kind  string  `json:"kind"`
			TimeS float64 `json:"t_s"`
		}
		if err := json.Unmarshal(lines.Bytes(), &line); err != nil {
			t.Fatal(err)
		}
		if kinds[line.Kind]++; line.TimeS > 5 && kinds["stopped"] == 0 {
			kinds["stopped"]++
			if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := cmd.Wait(); err != nil || kinds["row"] != 1 || kinds["reading"] < 250 {
		t.Errorf("%v, lines %v", err, kinds)
	}
}

// TestListenNobodyReads: a pipe that is closed ends it in order.
func TestListenNobodyReads(t *testing.T) {
	cmd, out := startListen(t)
	if _, err := bufio.NewReader(out).ReadString('\n'); err != nil {
		t.Fatal(err)
	}
	out.Close()
	if err := cmd.Wait(); err != nil {
		t.Error(err)
	}
}

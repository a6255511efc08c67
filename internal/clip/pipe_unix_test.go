//go:build unix

package clip

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

func madePipe(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "pipe.wav")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skipf("this file system has no named pipes: %v", err)
	}
	return path
}

// TestPipeWithoutWriter: a named pipe that nothing writes to ends with a sentence
// when the time is over, and one whose writer goes at once is empty.
func TestPipeWithoutWriter(t *testing.T) {
	_, err := openPipe(madePipe(t), 50*time.Millisecond)
	wantProblem(t, err, CodeNoWriter, "this is a pipe, and for 0.05 s no program has written to it; start the program that writes to it first, or name a file")
	path := madePipe(t) // another: the first still has a reader that waits
	go func() {
		if w, err := os.OpenFile(path, os.O_WRONLY, 0); err == nil {
			w.Close()
		}
	}()
	_, err = Open(path)
	wantProblem(t, err, CodeEmpty, "the file is empty; "+again)
}

// TestPipeWithLateWriter: a writer that comes while Open waits, and writes slowly,
// is read to its end.
func TestPipeWithLateWriter(t *testing.T) {
	path := madePipe(t)
	file := made{rate: 8000, channels: 1, bits: 16, tag: tagPCM}.file(make([]byte, 2*8000))
	wrote := make(chan error, 1)
	go func() {
		time.Sleep(100 * time.Millisecond)
		w, err := os.OpenFile(path, os.O_WRONLY, 0)
		for _, piece := range [][]byte{file[:1], file[1:5000], file[5000:]} {
			if err == nil {
				time.Sleep(30 * time.Millisecond)
				_, err = w.Write(piece)
			}
		}
		if err == nil {
			err = w.Close()
		}
		wrote <- err
	}()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := <-wrote; err != nil {
		t.Fatal(err)
	}
	if n := s.Samples.Len(); n != 8000 || len(s.Info.Remarks) != 1 || s.Info.Remarks[0] != remarkSilent {
		t.Errorf("%d samples, want 8000; remarks %q", n, s.Info.Remarks)
	}
}

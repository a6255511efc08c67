package main

import (
	"bufio"
	"bytes"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// served is `topnote serve` as a user starts it.
type served struct {
	*exec.Cmd
	url    string
	out    *bufio.Reader
	errors bytes.Buffer
}

// startServe starts it with temp for temporary files, and reads its address.
func startServe(t *testing.T, temp string, args ...string) *served {
	t.Helper()
	return startServeBy(t, temp, append([]string{program}, args...)...)
}

// startServeBy starts it by a command line of the caller's, which ends with the
// program and flags of its own.
func startServeBy(t *testing.T, temp string, line ...string) *served {
	t.Helper()
	at := slices.Index(line, program) + 1
	line = slices.Insert(slices.Clone(line), at, "serve", "--listen", "127.0.0.1:0", "--book", filepath.Join(t.TempDir(), "book.sqlite"))
	s := &served{Cmd: exec.Command(line[0], line[1:]...)}
	s.Env = append(os.Environ(), "TMPDIR="+temp)
	s.Stderr = &s.errors
	out, err := s.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Process.Kill() }) // it has ended, unless the test failed
	s.out = bufio.NewReader(out)
	first, err := s.out.ReadString('\n')
	if err != nil {
		t.Fatalf("%v: %s", err, &s.errors)
	}
	s.url = strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(first), "Topnote is at "), "/")
	return s
}

// end sends it a signal and wants it to end in order.
func (s *served) end(t *testing.T, with os.Signal) string {
	t.Helper()
	if err := s.Process.Signal(with); err != nil {
		t.Fatal(err)
	}
	if with == syscall.SIGHUP {
		_ = s.Process.Signal(with) // the kernel sends one and the shell another; it may have ended
	}
	rest, err := io.ReadAll(s.out)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Wait(); err != nil || s.errors.Len() > 0 {
		t.Errorf("it ended with %v: %s", err, &s.errors)
	}
	return string(rest)
}

// measured sends a recording in and gives the status of the answer.
func (s *served) measured(t *testing.T, recording []byte) string {
	t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	part, err := m.CreateFormFile("clip", "pass.wav")
	if err != nil {
		t.Fatal(err)
	}
	_, _ = part.Write(recording) // into memory
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	a, err := http.Post(s.url+"/api/v1/clips", m.FormDataContentType(), &b)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	return a.Status
}

// foldersIn gives the folders of servers below temp.
func foldersIn(t *testing.T, temp string) []string {
	t.Helper()
	folders, err := filepath.Glob(filepath.Join(temp, "topnote-serve-*"))
	if err != nil {
		t.Fatal(err)
	}
	return folders
}

// TestServeStops starts the server as a user does, sends a recording in and stops
// it, or closes its terminal: with status 0, without a word, and with no file left.
func TestServeStops(t *testing.T) {
	for _, with := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} {
		temp := t.TempDir()
		s := startServe(t, temp)
		if status := s.measured(t, []byte("no recording")); status != "202 Accepted" {
			t.Errorf("a recording: %s", status)
		}
		if folders := foldersIn(t, temp); len(folders) != 1 {
			t.Errorf("recordings are in %v", folders)
		}
		if rest := s.end(t, with); !strings.Contains(rest, "Ctrl-C ends it.") {
			t.Errorf("it printed %q", rest)
		}
		if left, err := os.ReadDir(temp); err != nil || len(left) > 0 {
			t.Errorf("left behind: %v (%v)", left, err)
		}
	}
}

// TestServeUnderNohup starts it with SIGHUP ignored, as nohup does, and closes its
// terminal: it goes on, and still ends in order.
func TestServeUnderNohup(t *testing.T) {
	temp := t.TempDir()
	s := startServeBy(t, temp, "sh", "-c", `trap "" HUP; exec "$@"`, "sh", program)
	if err := s.Process.Signal(syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
	if status := s.measured(t, []byte("no recording")); status != "202 Accepted" {
		t.Errorf("a recording after SIGHUP: %s", status)
	}
	s.end(t, syscall.SIGTERM)
	if left, err := os.ReadDir(temp); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v (%v)", left, err)
	}
}

// TestServeSweepsAfterACrash kills a server with a recording in its folder, while
// another lives: the next one sweeps what the dead one left, and nothing else.
func TestServeSweepsAfterACrash(t *testing.T) {
	temp := t.TempDir()
	alive := startServe(t, temp)
	crashed := startServe(t, temp)
	crashed.measured(t, bytes.Repeat([]byte("x"), 100_000))
	if n := len(foldersIn(t, temp)); n != 2 {
		t.Fatalf("%d folders of two servers", n)
	}
	if err := crashed.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = crashed.Wait() // killed
	if n := len(foldersIn(t, temp)); n != 2 {
		t.Fatalf("%d folders after a crash", n)
	}
	next := startServe(t, temp)
	if n := len(foldersIn(t, temp)); n != 2 {
		t.Errorf("%d folders of the two that live, after the sweep", n)
	}
	if status := alive.measured(t, []byte("x")); status != "202 Accepted" {
		t.Errorf("the one that lived on: %s", status)
	}
	next.end(t, os.Interrupt)
	alive.end(t, os.Interrupt)
	if left, err := os.ReadDir(temp); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v (%v)", left, err)
	}
}

// TestServeLAN starts it for the network, on loopback here: a code, a QR code and
// the certificate are printed, and nothing is served without the code.
func TestServeLAN(t *testing.T) {
	s := startServe(t, t.TempDir(), "--lan")
	a, err := http.Get(s.url)
	if err != nil {
		t.Fatal(err)
	}
	a.Body.Close()
	if a.StatusCode != http.StatusUnauthorized {
		t.Errorf("without the code: %s", a.Status)
	}
	http.DefaultClient.CloseIdleConnections()
	rest := s.end(t, os.Interrupt)
	code := regexp.MustCompile(`Access code: ([A-Z2-9]{4}(-[A-Z2-9]{4}){2}) `).FindStringSubmatch(rest)
	if code == nil || !strings.Contains(rest, "█▀") || !strings.Contains(rest, "Not encrypted") {
		t.Errorf("it printed %s", rest)
	}
	s = startServe(t, t.TempDir(), "--lan", "--tls")
	rest = s.end(t, os.Interrupt)
	if !regexp.MustCompile(`(?m)^  ([0-9A-F]{2}:){15}[0-9A-F]{2}$`).MatchString(rest) || strings.Contains(rest, "Not encrypted") || !strings.HasPrefix(s.url, "https://") {
		t.Errorf("with TLS it printed %s", rest)
	}
	if again := regexp.MustCompile(`Access code: (\S+) `).FindStringSubmatch(rest); code != nil && (again == nil || again[1] == code[1]) {
		t.Error("the second start has the code of the first")
	}
}

// TestServeEndsWhileItMeasures stops it with work under way and work waiting.
func TestServeEndsWhileItMeasures(t *testing.T) {
	temp := t.TempDir()
	s := startServe(t, temp)
	long, err := os.ReadFile(filepath.Join(root, "samples", "rich.wav"))
	if err != nil {
		t.Fatal(err)
	}
	for range 4 {
		s.measured(t, long)
	}
	began := time.Now()
	s.end(t, os.Interrupt)
	t.Logf("it ended %v after Ctrl-C, with four recordings on its hands", time.Since(began).Round(time.Millisecond))
	if left, err := os.ReadDir(temp); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v (%v)", left, err)
	}
}

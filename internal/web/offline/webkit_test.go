package offline_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"topnote/internal/race"
)

// TestPhoneInWebKit measures in WebKitGTK once the host has gone. Under automation that
// browser has private windows only, which keep no files, so there is no book: the page
// says so and measures all the same. It has no microphone of its own either.
func TestPhoneInWebKit(t *testing.T) {
	t.Parallel()
	address, stop := host(t)
	p, end := startWebKit(t)
	defer end()
	p.open(address)
	stop()
	p.open(address)
	p.until(`document.getElementById("said").textContent.includes("no book can be kept")`)
	p.measure(sample("rich"), "safe side")
	p.measure(sample("over"), "Over the limit")
}

// webkit is the address of a session of WebKit's WebDriver. Source: W3C WebDriver.
type webkit string

// startWebKit starts it on a screen that nobody sees.
func startWebKit(t *testing.T) (p phone, end func()) {
	t.Helper()
	if race.Enabled || testing.Short() {
		t.Skip("a browser is slow, and of the program it runs another build")
	}
	drive := program(t, "WebKitWebDriver")
	browsers, _ := filepath.Glob("/usr/lib/*/webkit2gtk-4*/MiniBrowser") // a pattern that is right
	if len(browsers) == 0 {
		t.Fatal("there is WebKitWebDriver, and no MiniBrowser")
	}
	display, endScreen := startScreen(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := l.Addr().(*net.TCPAddr).Port
	l.Close() // for the driver to take
	d := exec.Command(drive, fmt.Sprintf("--port=%d", port))
	d.Env = append(os.Environ(), "DISPLAY=:"+display, "HOME="+t.TempDir())
	if err := d.Start(); err != nil {
		t.Fatal(err)
	}
	w := webkit(fmt.Sprintf("http://127.0.0.1:%d/session", port))
	var begun struct{ SessionID string }
	options := map[string]any{"binary": browsers[0], "args": []string{"--automation", "--features=FileSystem,StorageAPI"}}
	for range 50 { // until it listens
		if err = w.call("POST", "", map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{"webkitgtk:browserOptions": options}}}, &begun); err == nil {
			break
		}
		time.Sleep(200 * time.Millisecond)
	}
	w += webkit("/" + begun.SessionID)
	end = func() {
		_ = w.call("DELETE", "", nil, nil) // it may be gone
		_ = d.Process.Kill()               // likewise
		_ = d.Wait()
		endScreen()
	}
	if err != nil {
		end()
		t.Fatal(err)
	}
	return phone{T: t, window: w, seen: &complaints{}}, end
}

// startScreen starts a screen that nobody sees, and gives its number.
func startScreen(t *testing.T) (number string, end func()) {
	t.Helper()
	x := exec.Command(program(t, "Xvfb"), "-displayfd", "1", "-screen", "0", "800x1000x24")
	says, err := x.StdoutPipe()
	if err == nil {
		err = x.Start()
	}
	if err == nil {
		number, err = bufio.NewReader(says).ReadString('\n')
	}
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(number), func() {
		_ = x.Process.Kill() // it may be gone
		_ = x.Wait()
	}
}

// call sends a command and reads its value.
func (w webkit) call(method, path string, body, value any) error {
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	r, err := http.NewRequest(method, string(w)+path, bytes.NewReader(text))
	if err != nil {
		return err
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if text, err = io.ReadAll(answer.Body); err != nil {
		return err
	}
	if answer.StatusCode != http.StatusOK {
		return errors.New(string(text))
	}
	return json.Unmarshal(text, &struct{ Value any }{value})
}

func (w webkit) navigate(address string) error {
	return w.call("POST", "/url", map[string]string{"url": address}, nil)
}

func (w webkit) evaluate(ctx context.Context, expression string) (string, error) {
	type answer struct {
		text string
		err  error
	}
	came := make(chan answer, 1)
	go func() {
		var a answer
		a.err = w.call("POST", "/execute/sync", map[string]any{"script": "return " + asJSON(expression), "args": []any{}}, &a.text)
		came <- a
	}()
	select {
	case a := <-came:
		return a.text, a.err
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

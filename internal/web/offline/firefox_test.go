package offline_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"topnote/internal/race"
)

// firefox is a page of Firefox, by WebDriver BiDi. Source: W3C WebDriver BiDi.
type firefox struct {
	conn *websocket.Conn
	came chan []byte // closed at the end
	tab  string
	last int
}

// preferences of Firefox for tests: pages may use the microphone, and it looks at the
// network for nothing of its own.
const preferences = `
user_pref("media.navigator.permission.disabled", true);
user_pref("media.autoplay.default", 0);
user_pref("app.update.enabled", false);
user_pref("app.normandy.enabled", false);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("browser.safebrowsing.malware.enabled", false);
user_pref("browser.safebrowsing.phishing.enabled", false);
user_pref("extensions.update.enabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
`

// startFirefox starts it with a profile, which may be an earlier one's.
func startFirefox(t *testing.T, profile string) (p phone, end func()) {
	t.Helper()
	return startFirefoxWith(t, profile)
}

// startFirefoxWith is startFirefox with more of the environment.
func startFirefoxWith(t *testing.T, profile string, environment ...string) (p phone, end func()) {
	t.Helper()
	if race.Enabled || testing.Short() {
		t.Skip("a browser is slow, and of the program it runs another build")
	}
	path := program(t, "firefox-esr", "firefox")
	downloads := t.TempDir()
	to := fmt.Sprintf("user_pref(%q, 2);\nuser_pref(%q, %q);\n", "browser.download.folderList", "browser.download.dir", downloads)
	if err := os.WriteFile(filepath.Join(profile, "user.js"), []byte(preferences+to), 0o600); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(path, "--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", "0", "about:blank")
	c.Env = append(append(os.Environ(), environment...), "HOME="+t.TempDir()) // it writes beside its profile too
	said, err := c.StderrPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	f := &firefox{}
	end = func() {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		if f.conn != nil {
			_, _ = f.call(ctx, "browser.close", struct{}{}) // it may be gone
		}
		_ = c.Process.Kill() // likewise
		_ = c.Wait()
	}
	if err := f.connect(bufio.NewScanner(said)); err != nil {
		end()
		t.Fatal(err)
	}
	return phone{T: t, window: f, downloads: downloads, seen: &complaints{}}, end
}

// connect begins a session at the address that Firefox prints.
func (f *firefox) connect(said *bufio.Scanner) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	for said.Scan() {
		_, address, ok := strings.Cut(said.Text(), "BiDi listening on ")
		if !ok {
			continue
		}
		go func() {
			for said.Scan() { // so that it is never full
			}
		}()
		var err error
		if f.conn, _, err = websocket.Dial(ctx, address+"/session", nil); err != nil {
			return err
		}
		f.conn.SetReadLimit(64 << 20)
		f.came = make(chan []byte, 16)
		go f.read()
		if _, err = f.call(ctx, "session.new", map[string]any{"capabilities": struct{}{}}); err != nil {
			return err
		}
		result, err := f.call(ctx, "browsingContext.getTree", struct{}{})
		if err != nil {
			return err
		}
		var tree struct{ Contexts []struct{ Context string } }
		if err := json.Unmarshal(result, &tree); err != nil || len(tree.Contexts) == 0 {
			return fmt.Errorf("%s: %w", result, err)
		}
		f.tab = tree.Contexts[0].Context
		return nil
	}
	return errors.New("firefox printed no address")
}

// call calls a command and gives its result.
func (f *firefox) call(ctx context.Context, method string, params any) (json.RawMessage, error) {
	f.last++
	command, err := json.Marshal(map[string]any{"id": f.last, "method": method, "params": params})
	if err == nil {
		err = f.conn.Write(context.Background(), websocket.MessageText, command) // a context that ends would end the connection
	}
	if err != nil {
		return nil, err
	}
	for {
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case text, ok := <-f.came:
			var answer struct {
				ID             int
				Result         json.RawMessage
				Error, Message string
			}
			if !ok {
				return nil, errors.New("firefox has gone")
			} else if err := json.Unmarshal(text, &answer); err != nil {
				return nil, err
			} else if answer.ID == f.last && answer.Error != "" {
				return nil, fmt.Errorf("%s: %s", answer.Error, answer.Message)
			} else if answer.ID == f.last {
				return answer.Result, nil
			}
		}
	}
}

// read takes in what comes until the end.
func (f *firefox) read() {
	defer close(f.came)
	for {
		_, text, err := f.conn.Read(context.Background())
		if err != nil {
			return
		}
		f.came <- text
	}
}

func (f *firefox) navigate(address string) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	_, err := f.call(ctx, "browsingContext.navigate", map[string]any{"context": f.tab, "url": address, "wait": "complete"})
	return err
}

func (f *firefox) evaluate(ctx context.Context, expression string) (string, error) {
	result, err := f.call(ctx, "script.evaluate", map[string]any{
		"expression": asJSON(expression), "target": map[string]any{"context": f.tab}, "awaitPromise": true, "userActivation": true,
	})
	if err != nil {
		return "", err
	}
	var r struct {
		Result           struct{ Value string }
		ExceptionDetails *struct{ Text string }
	}
	if err := json.Unmarshal(result, &r); err != nil {
		return "", err
	}
	if r.ExceptionDetails != nil {
		return "", errors.New(r.ExceptionDetails.Text)
	}
	return r.Result.Value, nil
}

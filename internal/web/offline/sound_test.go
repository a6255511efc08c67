package offline_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// startSound starts a server of sound without any device: its microphone plays a pass over
// the limit again and again. It gives what the environment of a browser has to say.
func startSound(t *testing.T) (environment string) {
	t.Helper()
	serve, play := program(t, "pulseaudio"), program(t, "paplay")
	folder := t.TempDir()
	environment = "PULSE_SERVER=unix:" + filepath.Join(folder, "native")
	c := exec.Command(serve, "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "--disable-shm=yes",
		"-L", "module-native-protocol-unix socket="+filepath.Join(folder, "native")+" auth-anonymous=1",
		"-L", "module-null-sink sink_name=speaker rate=48000",
		"-L", "module-null-sink sink_name=pass rate=48000",
		"-L", "module-remap-source source_name=microphone master=pass.monitor")
	c.Env = append(os.Environ(), "HOME="+folder, "XDG_RUNTIME_DIR="+folder)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	played := make(chan struct{})
	go func() {
		defer close(played)
		for ctx.Err() == nil {
			again := exec.CommandContext(ctx, play, "--device=pass", sample("over"))
			again.Env = append(os.Environ(), environment, "HOME="+folder)
			if again.Run() != nil { // it is not there yet, or the test has ended
				time.Sleep(100 * time.Millisecond)
			}
		}
	}()
	t.Cleanup(func() {
		cancel()
		<-played
		_ = c.Process.Kill() // it may be gone
		_ = c.Wait()
	})
	return environment
}

// TestPhoneListensInFirefox does in Firefox, with the host gone, what needs a microphone:
// it listens to a pass over the limit, the figure and the row as in Chromium, and records
// one, guided by what is heard, which is measured.
func TestPhoneListensInFirefox(t *testing.T) {
	environment := startSound(t)
	address, stop := host(t)
	p, end := startFirefoxWith(t, t.TempDir(), environment)
	defer end()
	p.open(address)
	stop()
	p.visit("/live")
	p.act(`d.getElementById("limit").value = "13500"; d.getElementById("listen").click()`)
	p.until(inFrame(`/^1[34],\d\d0$/.test(d.getElementById("speed").textContent)`))
	p.until(inFrame(`[...d.querySelectorAll("#row-list tr")].some((r) => /14,[01].*over-limit/.test(r.textContent))`))
	p.act(`d.getElementById("listen").click()`)
	p.until(inFrame(`d.getElementById("listen").textContent === "Listen"`))
	p.visit("/")
	p.act(`d.getElementById("limit").value = "13500"; d.getElementById("record").click()`)
	p.until(inFrame(`["Hold", "Let go"].includes(d.getElementById("guide-step").innerText)`))
	p.until(inFrame(`parseInt(d.getElementById("clock").innerText) >= 12 || d.querySelector("#track")`))
	p.act(`d.getElementById("guide-stop")?.click()`)
	p.untilShown(`d.querySelector("#track") || d.getElementById("work-problem")?.textContent`)
	if says := p.text("h1"); !strings.Contains(says, "Over the limit") {
		t.Errorf("the headline is %q, with %q", says, p.text("#work-problem"))
	}
}

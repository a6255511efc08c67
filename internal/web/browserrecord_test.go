package web

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"topnote/internal/audio"
	"topnote/internal/audio/audiotest"
	"topnote/internal/clip"
)

// TestRecord records in the page from a microphone that the browser plays a
// sample into, and has it measured.
func TestRecord(t *testing.T) {
	t.Parallel()
	b := openTab(t, site(t), 360, 740,
		chromedp.Flag("use-fake-device-for-media-stream", true),
		chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", sample(t, "over.wav")+"%noloop"),
	)
	b.visit("/")
	b.do(chromedp.SetValue(chromedp.ID("limit"), "13500"), chromedp.Click(chromedp.ID("record")))
	b.until(`document.getElementById("record").innerText === "Stop recording"`)
	b.until(`parseInt(document.getElementById("clock").innerText) >= 3`)
	b.shoot("phone-recording")
	if level := eval[float64](b, `document.getElementById("level").value`); level < -40 {
		t.Errorf("at full throttle the microphone shows %.0f dB", level)
	}
	b.until(`parseInt(document.getElementById("clock").innerText) >= 9`)
	b.do(chromedp.Click(chromedp.ID("record")))
	b.until(`document.getElementById("record").innerText === "Record again"`)
	b.shoot("phone-recorded")
	b.do(chromedp.Click(chromedp.ID("measure")))
	b.at("/clips/")
	b.until(`!!document.querySelector("#track")`)
	if says := b.text("h1"); !strings.Contains(says, "Over the limit") {
		t.Errorf("the headline is %q", says)
	}
	// Source: the sample's own measurement, 14,130 rpm; the way through the
	// microphone may cost 0.5 %.
	rpm := eval[float64](b, `Number(document.querySelector(".held b").innerText.replace(",", ""))`)
	if rpm < 14060 || rpm > 14200 {
		t.Errorf("it holds %.0f rpm", rpm)
	}
	if facts := b.text("main"); !strings.Contains(facts, "WAV pcm_s16") || !strings.Contains(facts, "1 channel") {
		t.Error("it was not sent as WAV of 16 bits in one channel")
	}
}

// TestDecodeInBrowser sends a kind of file that the server cannot decode without
// ffmpeg: the browser decodes it, and it is measured all the same.
func TestDecodeInBrowser(t *testing.T) {
	ffmpeg := program(t, "make a recording with that needs it", "ffmpeg")
	recording := filepath.Join(t.TempDir(), "over.webm")
	if out, err := exec.Command(ffmpeg, "-loglevel", "error", "-i", sample(t, "over.wav"), "-c:a", "libopus", recording).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	b := openTab(t, site(t), 1440, 800)
	b.visit("/")
	t.Setenv("PATH", t.TempDir()) // no ffmpeg from here on
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{recording}),
		chromedp.SetValue(chromedp.ID("limit"), "13500"), chromedp.Click(chromedp.ID("measure")),
	)
	b.at("/clips/")
	b.until(`!!document.querySelector("#track")`)
	if says := b.text("h1"); !strings.Contains(says, "Over the limit") {
		t.Errorf("the headline is %q", says)
	}
	if facts := b.text("main"); !strings.Contains(facts, "the browser that sent it decoded it first") {
		t.Errorf("the page does not say that the browser decoded it")
	}
}

// TestRefusals: what cannot be measured comes back as one sentence that says what
// to do, and the form with what was entered.
func TestRefusals(t *testing.T) {
	t.Parallel()
	b := openTab(t, site(t), 360, 740)
	text := filepath.Join(t.TempDir(), "notes.txt")
	if err := os.WriteFile(text, []byte(strings.Repeat("no sound in here\n", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ file, limit, want string }{
		{text, "13500", "; "},
		{sample(t, "rich.wav"), "13.500", "more than one speed; write it in rpm as 13500 or 13,500"},
	} {
		b.visit("/")
		b.do(
			chromedp.SetUploadFiles(chromedp.ID("clip"), []string{tt.file}),
			chromedp.SetValue(chromedp.ID("limit"), tt.limit), chromedp.Click(chromedp.ID("measure")),
		)
		b.until(`document.getElementById("work-problem").innerText !== ""`)
		got := b.text("#work-problem")
		if !strings.Contains(got, tt.want) || strings.Count(got, "\n") > 0 || !strings.HasSuffix(got, ".") {
			t.Errorf("%s, %s: it says %q", filepath.Base(tt.file), tt.limit, got)
		}
		if still := eval[string](b, `document.getElementById("limit").value`); still != tt.limit {
			t.Errorf("the limit that was entered became %q", still)
		}
		t.Log(got)
	}
	b.shoot("phone-refused")
}

// TestWait opens the page of a recording that waits for its turn: it shows the
// result by itself.
func TestWait(t *testing.T) {
	t.Parallel()
	b := openTab(t, site(t), 360, 740)
	b.visit("/")
	b.do(chromedp.SetUploadFiles(chromedp.ID("clip"), []string{again(t, sample(t, "rich.wav"), 20)}))
	// As many as are measured at once, and one more.
	last := eval[string](b, `Promise.all(Array.from({length: navigator.hardwareConcurrency + 1}, async () => {
		const answer = await fetch("/api/v1/clips", {method: "POST", body: new FormData(document.getElementById("pass"))});
		return (await answer.json()).id;
	})).then((ids) => ids.at(-1))`)
	b.visit("/clips/" + last)
	if says := b.text("h1"); says != "Measuring rich.wav" {
		t.Errorf("the page that waits says %q", says)
	}
	b.shoot("phone-wait")
	b.until(`!!document.querySelector("#track")`)
}

// again writes a recording so many times over, under its own name: it takes long
// enough to be waited for.
func again(t *testing.T, path string, times int) string {
	t.Helper()
	once, err := clip.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	long := filepath.Join(t.TempDir(), filepath.Base(path))
	samples := slices.Repeat(audiotest.All(once.Samples), times)
	if err := errors.Join(clip.WriteWAVFile(long, audio.Memory(samples), once.Rate), once.Close()); err != nil {
		t.Fatal(err)
	}
	return long
}

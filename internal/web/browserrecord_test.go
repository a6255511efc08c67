package web

import (
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/web/jobs"
)

// TestRecord records in the page from the microphone, ends it by hand, and has it
// measured: the speed is the one that the microphone was given.
func TestRecord(t *testing.T) {
	t.Parallel()
	pass := microphonePass()
	want := measured(t, pass.Render().Samples, pass.Rate)
	b := openTab(t, site(t), 360, 740)
	b.visit("/")
	b.do(chromedp.SetValue(chromedp.ID("limit"), "13500"), chromedp.Click(chromedp.ID("record")))
	b.until(`document.getElementById("guide").open`)
	b.until(`["Hold", "Let go"].includes(document.getElementById("guide-step").innerText)`)
	if level := eval[float64](b, `document.getElementById("level").value`); level < -40 {
		t.Errorf("at full throttle the microphone shows %.0f dB", level)
	}
	b.until(`parseInt(document.getElementById("clock").innerText) >= 8`)
	b.do(chromedp.Click(chromedp.ID("guide-stop")))
	b.at("/clips/")
	b.until(`!!document.querySelector("#track")`)
	if says := b.text("h1"); !strings.Contains(says, "Over the limit") {
		t.Errorf("the headline is %q", says)
	}
	const tolerance = 0.005 // of the speed: what the way through the microphone may cost
	rpm := eval[float64](b, `Number(document.querySelector(".held b").innerText.replace(",", ""))`)
	if top := float64(want.TopEnd.SustainedRPM); math.Abs(rpm-top) > tolerance*top {
		t.Errorf("it holds %.0f rpm, and what the microphone plays %.0f", rpm, top)
	}
	if facts := b.content("main"); !strings.Contains(facts, "WAV pcm_s16") || !strings.Contains(facts, "1 channel") {
		t.Error("it was not sent as WAV of 16 bits in one channel")
	}
}

// TestDecodeInBrowser sends a kind of file that the server, which has no ffmpeg
// here, cannot decode: the browser decodes it, and it is measured all the same.
func TestDecodeInBrowser(t *testing.T) {
	t.Parallel()
	ffmpeg := program(t, "make a recording that needs it", "ffmpeg")
	recording := filepath.Join(t.TempDir(), "over.webm")
	if out, err := exec.Command(ffmpeg, "-loglevel", "error", "-i", excerptFile(t, "over.wav"), "-c:a", "libopus", recording).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	b := openTab(t, siteOf(t, func(c *Config) { c.work = withoutFFmpeg(c.Options.Jobs) }), 1440, 800)
	b.visit("/")
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{recording}),
		chromedp.SetValue(chromedp.ID("limit"), "13500"), chromedp.Click(chromedp.ID("measure")),
	)
	b.at("/clips/")
	b.until(`!!document.querySelector("#track")`)
	if says := b.text("h1"); !strings.Contains(says, "Over the limit") {
		t.Errorf("the headline is %q", says)
	}
	if facts := b.content("main"); !strings.Contains(facts, "the browser that sent it decoded it first") {
		t.Errorf("the page does not say that the browser decoded it")
	}
}

// withoutFFmpeg refuses a recording that is no WAV as a server without ffmpeg does.
func withoutFFmpeg(o jobs.Options) jobs.Work {
	usual := jobs.Measure(o)
	return func(ctx context.Context, order jobs.Order, decoded func(engine.Seconds)) (measure.Measurement, error) {
		f, err := order.Upload.Open()
		if err != nil {
			return measure.Measurement{}, err
		}
		defer f.Close() // only read from
		options := clip.Default()
		options.FFmpeg = ""
		if stream, err := clip.NewStream(ctx, f, order.Name, options); err != nil {
			return measure.Measurement{}, err
		} else if sound, err := stream.Collect(); err != nil {
			return measure.Measurement{}, err
		} else {
			sound.Close() // it can be decoded
		}
		return usual(ctx, order, decoded)
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

// TestWait opens the page of a recording that waits for its turn: it says so, and
// then shows the result by itself.
func TestWait(t *testing.T) {
	t.Parallel()
	free := make(chan bool)
	b := openTab(t, siteOf(t, func(c *Config) {
		c.Options.Jobs.Workers = 1
		usual := jobs.Measure(c.Options.Jobs)
		c.work = func(ctx context.Context, o jobs.Order, decoded func(engine.Seconds)) (measure.Measurement, error) {
			<-free
			return usual(ctx, o, decoded)
		}
	}), 360, 740)
	b.visit("/")
	b.do(chromedp.SetUploadFiles(chromedp.ID("clip"), []string{excerptFile(t, "rich.wav")}))
	ids := eval[[]string](b, `(async () => {
		const ids = [];
		for (let i = 0; i < 3; i++) {
			const answer = await fetch("/api/v1/clips", {method: "POST", body: new FormData(document.getElementById("pass"))});
			ids.push((await answer.json()).id);
		}
		return ids;
	})()`)
	for i, says := range []string{"Measuring", "Waiting: it is next.", "Waiting: 1 before it."} {
		b.visit("/clips/" + ids[i])
		if head := b.text("h1"); head != "Measuring rich.wav" {
			t.Errorf("the page that waits is headed %q", head)
		}
		if got := b.text("#work-says"); strings.TrimSuffix(got, ".") != strings.TrimSuffix(says, ".") {
			t.Errorf("clip %d: the page says %q, and not %q", i, got, says)
		}
	}
	b.shoot("phone-wait")
	close(free)
	b.until(`!!document.querySelector("#track")`)
}

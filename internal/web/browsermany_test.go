package web

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestMany chooses several recordings at once, as an adviser does: they come back as a
// table, the most dangerous first by what was found, too, and from it into a comparison
// of more than two.
func TestMany(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 1440, 900)
	b.visit("/")
	var files []string
	for _, name := range []string{"rich.wav", "clean.wav", "high-idle.wav"} {
		files = append(files, sample(t, name))
	}
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), files), chromedp.SetValue(chromedp.ID("limit"), "13 500"),
		chromedp.Evaluate[chromedp.Void](`document.getElementById("clutch").value = "3,700"`), chromedp.Click(chromedp.ID("measure")),
	)
	b.at("/many")
	rows := eval[[]string](b, `[...document.querySelectorAll("tbody tr")].map((row) => row.innerText.replace(/\s+/g, " "))`)
	for i, want := range []string{"high-idle.wav Chain or tool driven at idle", "clean.wav Clean without load", "rich.wav Four-stroking"} {
		if len(rows) != 3 || !strings.HasPrefix(rows[i], want) {
			t.Fatalf("row %d of %q is not that of %s", i, rows, want)
		}
	}
	b.fits("the table")
	b.window("many")
	b.do(
		chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("input[name=clip]").forEach((box) => { box.checked = true; })`),
		chromedp.Click(chromedp.CSS("form button")),
	)
	b.until(`!!document.querySelector("#trace-1 svg .line-3")`)
	if n := eval[int](b, `document.querySelectorAll("audio").length`); n != 3 {
		t.Errorf("%d sounds of three passes", n)
	}
	b.do(chromedp.Click(chromedp.ID("loop")))
	b.until(`Number(document.getElementById("trace-1").getAttribute("aria-valuemin")) > 0`)
	b.window("many-compared")
	b.fits("the comparison of three")
}

// TestRecordAgain: a new recording takes the place of the chosen one, one that runs asks
// before the page is left and is not ended by a key, and one that is discarded leaves
// nothing behind.
func TestRecordAgain(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 390, 844)
	b.visit("/")
	b.window("phone-new")
	if first := eval[string](b, `[...document.querySelectorAll("main button, main input, main select")].find((e) => e.checkVisibility()).id`); first != "record" {
		t.Errorf("on a phone the first thing is %s", first)
	}
	if covered := eval[bool](b, `document.getElementById("measure").getBoundingClientRect().bottom > innerHeight`); covered {
		t.Error("Measure is out of reach")
	}
	const running = `document.getElementById("guide").open && parseInt(document.getElementById("clock").innerText) >= %d`
	b.do(
		chromedp.SetUploadFiles(chromedp.ID("clip"), []string{excerptFile(t, "rich.wav")}), chromedp.SetValue(chromedp.ID("limit"), "13500"),
		chromedp.Click(chromedp.ID("record")),
	)
	b.until(fmt.Sprintf(running, 1))
	b.do(chromedp.KeyEvent(kb.Escape))
	if asks := eval[bool](b, `(() => { const leave = new Event("beforeunload", {cancelable: true}); dispatchEvent(leave); return leave.defaultPrevented; })()`); !asks {
		t.Error("a recording that runs can be left without a question")
	}
	b.do(chromedp.Click(chromedp.ID("guide-drop")))
	b.until(`!document.getElementById("guide").open && document.getElementById("record").innerText === "Record again"`)
	if files := eval[int](b, `document.getElementById("clip").files.length`); files != 0 {
		t.Errorf("after one that was discarded %d recordings are chosen", files)
	}
	b.do(chromedp.Click(chromedp.ID("record")))
	b.until(fmt.Sprintf(running, 3))
	b.do(chromedp.Click(chromedp.ID("guide-stop")))
	b.at("/clips/")
	b.until(`!!document.querySelector("#verdict")`)
	if got := b.content("#recording"); !strings.Contains(got, "recorded ") || strings.Contains(got, "rich.wav") {
		t.Errorf("it measured %q", got)
	}
}

// TestMicrophoneProblems: a microphone that is refused, gives nothing or is overloaded is
// said where the eye is, as an alert, and so is an entry that cannot be used.
func TestMicrophoneProblems(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 390, 844)
	b.visit("/")
	b.do(
		chromedp.Evaluate[chromedp.Void](`navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("", "NotAllowedError"))`),
		chromedp.Click(chromedp.ID("record")),
	)
	b.until(`document.getElementById("record-problem").textContent.startsWith("The browser does not let this page use the microphone.")`)
	if far := eval[float64](b, `document.getElementById("record-problem").getBoundingClientRect().top - document.getElementById("record").getBoundingClientRect().bottom`); far > 60 {
		t.Errorf("it is said %.0f pixels below the button", far)
	}
	b.visit("/") // the microphone of silence
	b.do(
		chromedp.Evaluate[chromedp.Void](`navigator.mediaDevices.getUserMedia = async () => new AudioContext().createMediaStreamDestination().stream`),
		chromedp.Click(chromedp.ID("record")),
	)
	b.until(`document.getElementById("guide-problem").textContent.startsWith("The microphone gives no sound.")`)
	b.window("guide-silent")
	b.axe("the guide of a pass")
	b.do(chromedp.Click(chromedp.ID("guide-drop")))
	b.until(`document.getElementById("record").innerText === "Record again"`)
	b.do( // one that overloads
		chromedp.Evaluate[chromedp.Void](`navigator.mediaDevices.getUserMedia = async () => {
			const context = new AudioContext(), out = context.createMediaStreamDestination(), tone = new OscillatorNode(context, { type: "square" });
			tone.connect(new GainNode(context, { gain: 2 })).connect(out);
			tone.start();
			return out.stream;
		}`),
		chromedp.Click(chromedp.ID("record")),
	)
	b.until(`document.getElementById("guide-problem").textContent.startsWith("The microphone is overloaded.") && document.getElementById("level-says").textContent === "too loud"`)
	b.window("guide-loud")
	b.do(chromedp.Click(chromedp.ID("guide-drop")))
	b.until(`!document.getElementById("guide").open`)
	// An entry that cannot be used is said before the pass, at its field.
	b.do(chromedp.SetValue(chromedp.ID("limit"), "13.500"), chromedp.Click(chromedp.ID("record")))
	b.until(`document.getElementById("work-problem").textContent.includes("more than one speed") && document.activeElement.id === "limit"`)
	if eval[bool](b, `document.getElementById("guide").open`) {
		t.Error("it records on with an entry that cannot be used")
	}
}

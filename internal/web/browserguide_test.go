package web

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/measure"
	"topnote/internal/needle"
	"topnote/internal/report"
	"topnote/internal/synth"
)

// TestGuide plays every shipped pass to the guide: it says to let go while the throttle is
// open, sees it let go, and an idle before; and without an engine it says nothing but
// that no idle is heard.
func TestGuide(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 390, 844)
	b.visit("/air")
	for _, s := range synth.Samples() {
		g := guide(t, b, s.Name)
		if s.Wants == "no-engine" {
			if !slices.Equal(g.Steps, []string{"idle"}) || !g.Late {
				t.Errorf("%s: %v, said that no idle is heard: %t", s.Name, g.Steps, g.Late)
			}
			continue
		}
		opens, falls := s.Scene.Profile.Spans[0].To, s.Scene.Profile.Spans[0].To
		for _, span := range s.Scene.Profile.Spans {
			if span.Name == synth.Fall {
				falls = span.From
			}
		}
		t.Logf("%s, %.1f to %.1f s: %v at %.1f s", s.Name, opens, falls, g.Steps, g.At)
		want := []string{"idle", "idle-heard", "hold", "let-go", "idle-again"}
		if i := slices.Index(g.Steps, "open"); i > 0 { // where the idle was long enough to be told to open
			g.Steps, g.At = slices.Delete(g.Steps, i, i+1), slices.Delete(g.At, i, i+1)
		}
		if len(g.Steps) < len(want) || !slices.Equal(g.Steps[:len(want)], want) {
			t.Errorf("%s: the guide says %v at %.1f s", s.Name, g.Steps, g.At)
			continue
		}
		least := opens + 2
		if s.Wants == "over-limit" {
			least = opens + 0.8 // half a second of full throttle
		}
		if at := engine.Seconds(g.At[3]); at < least || at > falls+0.5 {
			t.Errorf("%s: it says to let go at %.1f s, with the throttle open from %.1f to %.1f s", s.Name, at, opens, falls)
		}
		if at := engine.Seconds(g.At[4]); at < falls || at > falls+3 {
			t.Errorf("%s: let go at %.1f s, it says so at %.1f s", s.Name, falls, at)
		}
	}
}

// TestGivenUp: a page that gives a listening up, as after each pass that was guided, leaves
// no seat taken at the server, which has eight.
func TestGivenUp(t *testing.T) {
	t.Parallel()
	looksOnly(t)
	b := openTab(t, site(t), 390, 844)
	b.visit("/")
	got := moduleCall[[]string](b, "readings.js", `(async () => {
		const heard = [], pause = (ms) => new Promise((done) => setTimeout(done, ms));
		for (let i = 0; i < 12; i++) {
			let block;
			const listening = m.follow({ limit: "13500" }, { rate: 48000, hear(take) { block = take; } }, (message) => heard.push(message.code ?? message.kind));
			while (!listening.greeted) await pause(20);
			for (let k = 0; k < 40; k++) block(new Float32Array(480));
			await pause(50);
			listening.close();
			await pause(50);
		}
		return heard.filter((what) => what !== "reading");
	})()`)
	if len(got) > 0 {
		t.Errorf("after some pages had given up, another one was told %q", got)
	}
}

// TestTones: the tones of the guide, mixed into a pass as loud as half of full scale, change
// nothing of what is measured.
func TestTones(t *testing.T) {
	t.Parallel()
	const pitch, length, level = 5000, 0.12, 0.5 // Hz and s as in guidescreen.js, of full scale
	for _, one := range []synth.Sample{synth.Samples()[0], synth.Samples()[1]} {
		sound := one.Scene.Render()
		plain := measured(t, sound.Samples, one.Scene.Rate)
		for _, at := range []float64{0.3, 3, 3.24, 6, 6.24, 6.48, 9} {
			from := int(at * float64(one.Scene.Rate))
			for i := range int(length * float64(one.Scene.Rate)) {
				sound.Samples[from+i] += level * float32(math.Sin(2*math.Pi*pitch*float64(i)/float64(one.Scene.Rate)))
			}
		}
		toned := measured(t, sound.Samples, one.Scene.Rate)
		if plain.Verdict.Code != toned.Verdict.Code || math.Abs(float64(plain.TopEnd.SustainedRPM-toned.TopEnd.SustainedRPM)) > 10 {
			t.Errorf("%s: %s at %v, with the tones %s at %v", one.Name, plain.Verdict.Code, plain.TopEnd.SustainedRPM, toned.Verdict.Code, toned.TopEnd.SustainedRPM)
		}
	}
}

func measured(t *testing.T, samples audio.Memory, rate engine.Hz) report.Report {
	t.Helper()
	file := filepath.Join(t.TempDir(), "toned.wav")
	if err := clip.WriteWAVFile(file, samples, rate); err != nil {
		t.Fatal(err)
	}
	m, err := measure.File(file, engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}})
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	return m.Report
}

// guided is what the guide makes of the readings of a recording: its steps and when each
// began, s.
type guided struct {
	Steps []string  `json:"steps"`
	At    []float64 `json:"at"`
	Late  bool      `json:"late"`
}

func guide(t *testing.T, b tab, name string) guided {
	t.Helper()
	sound, err := os.Open(sample(t, name+".wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer sound.Close() // only read from
	var all []live.ReadingJSON
	o := live.Default(engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}})
	err = live.Listen(t.Context(), sound, o, live.Handler{
		Reading: func(r needle.Reading) error { all = append(all, live.JSON(r)); return nil },
	})
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	return moduleCall[guided](b, "guide.js", fmt.Sprintf(`{
		const g = new m.Guide(), said = { steps: [], at: [], late: false };
		for (const r of %s) {
			g.next(r);
			said.late ||= g.late;
			if (g.step !== said.steps.at(-1)) { said.steps.push(g.step); said.at.push(r.heard_s); }
		}
		return said;
	}`, text))
}

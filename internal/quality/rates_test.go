package quality

import (
	"math"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/audio/audiotest"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/synth"
)

// seeds is how many passes each damage is tried on.
const seeds = 16

// damage is something that happens to a pass, the problem that it is to be
// found by, and those that may come with it.
type damage struct {
	name  string
	wants Code
	least int // of seeds in which it is found
	with  []Code
	do    func(seed uint64, m made) made
}

// damages are as strong as they begin to harm readings: see the codes and
// Options. With stronger ones nothing is missed.
func damages() []damage {
	kind := func(k synth.Kind, below float64) func(uint64, made) made {
		return func(seed uint64, m made) made { return m.beside(seed+1000, below, synth.Beside{Kind: k}) }
	}
	// Another engine may run at any speed. At those where its lines fall on the
	// first one's it is not found, and one at 7,190 rpm is as steady as mains.
	beside := func(below float64) func(uint64, made) made {
		return func(seed uint64, m made) made {
			speed := 4500 + engine.RPM(seed*1597%8000)
			return m.beside(seed+1000, below, synth.Beside{Kind: synth.Second, Speed: speed})
		}
	}
	phone := func(p synth.Phone) func(uint64, made) made {
		return func(seed uint64, _ made) made {
			s := scene(seed)
			s.Phone = p
			return render(s)
		}
	}
	call := synth.Telephone()
	call.Gain = nil
	return []damage{
		{"none", "", 0, nil, func(_ uint64, m made) made { return m }},
		{"clipped by 10 dB", Clipping, seeds, nil, func(_ uint64, m made) made { return m.peak(10) }},
		{"peak at 16 steps", TooQuiet, seeds, nil, func(_ uint64, m made) made { return m.peak(20 * math.Log10(16.0/(1<<15))) }},
		{"pink noise, as loud", Noise, seeds, nil, kind(synth.Pink, 0)},
		{"white noise, 6 dB louder", Noise, seeds, nil, kind(synth.White, -6)},
		{"wind, 12 dB louder", Wind, seeds - 2, []Code{Noise}, kind(synth.Wind, -12)},
		{"hum of 50 Hz, 15 dB softer", Hum, seeds - 2, nil, kind(synth.Hum50, 15)},
		{"hum of 60 Hz, 15 dB softer", Hum, seeds - 2, nil, kind(synth.Hum60, 15)},
		{"hum of 50 Hz, as loud", Hum, seeds, []Code{Noise}, kind(synth.Hum50, 0)},
		{"call, 300 to 3400 Hz", NarrowBand, seeds, nil, phone(call)},
		{"gain control", AutomaticGain, seeds - 1, nil, phone(synth.Handset())},
		{"another engine, 12 dB softer", MoreThanOneEngine, seeds / 2, []Code{Hum, Noise}, beside(12)},
		{"another engine, 6 dB softer", MoreThanOneEngine, seeds - 4, []Code{Hum, Noise}, beside(6)},
		{"another engine, as loud", MoreThanOneEngine, seeds - 4, []Code{Hum, Noise}, beside(0)},
	}
}

// TestRates holds every detector to how often it finds what is there and how
// often it finds what is not, each over as many passes. With -v it prints the rates.
func TestRates(t *testing.T) {
	passes := make([]made, seeds+1)
	each(seeds, func(seed uint64) { passes[seed] = render(scene(seed)) })
	all := append(damages(), speaking(t)...)
	for _, d := range all {
		found := count(t, d, passes)
		t.Logf("%-32s %v of %d", d.name, found, seeds)
		if d.wants != "" && found[d.wants] < d.least {
			t.Errorf("%s: %s in %d of %d passes, want %d", d.name, d.wants, found[d.wants], seeds, d.least)
		}
		for code, n := range found {
			const most = 1 // false alarm
			if n > most && code != d.wants && !slices.Contains(d.with, code) {
				t.Errorf("%s: %s in %d of %d passes, want none", d.name, code, n, seeds)
			}
		}
	}
}

// count gives in how many passes each problem is found once they are damaged.
func count(t *testing.T, d damage, passes []made) map[Code]int {
	t.Helper()
	codes := make([][]Code, seeds+1)
	each(seeds, func(seed uint64) {
		m := d.do(seed, passes[seed])
		h := must(assess(m.recorded(t), m.track, engine.TwoStrokeSingle))
		for _, p := range h.Judge(nil).Problems {
			codes[seed] = append(codes[seed], p.Code)
		}
	})
	found := map[Code]int{}
	for _, c := range codes {
		for _, code := range c {
			found[code]++
		}
	}
	return found
}

// speaking gives the damage of a voice over the engine, by a speech synthesiser,
// from 6 dB over the idle on; a voice that the engine drowns is not a problem.
// There is none where the synthesiser is missing.
func speaking(t *testing.T) []damage {
	t.Helper()
	if _, err := exec.LookPath("espeak-ng"); err != nil {
		t.Log("speech is not tested: espeak-ng is not installed")
		return nil
	}
	const text = "The engine is warm. I open the throttle now. Hold it there. Listen, it still sounds rich to me. Now let it go. Back to idle it comes."
	var voices [][]float32
	for _, v := range []string{"en", "en+f3", "de", "en+m3"} {
		path := filepath.Join(t.TempDir(), "voice.wav")
		if out, err := exec.Command("espeak-ng", "-v", v, "-w", path, text).CombinedOutput(); err != nil {
			t.Fatalf("espeak-ng: %v: %s", err, out)
		}
		spoken, err := clip.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		voices = append(voices, audiotest.All(spoken.Samples))
	}
	over := func(db float64) func(uint64, made) made {
		return func(seed uint64, m made) made {
			voice := voices[int(seed)%len(voices)]
			idle := m.sound[:int(rate)]
			loud := rms(m.sound) / rms(idle)
			return m.mixed(voice, 20*math.Log10(loud)-db)
		}
	}
	return []damage{
		{"voice, 9 dB over the idle", Speech, seeds - 2, []Code{Noise}, over(9)},
		{"voice, 15 dB over the idle", Speech, seeds - 1, []Code{Noise}, over(15)},
		{"voice, 10 dB under the idle", "", 0, nil, over(-10)},
	}
}

package quality

import (
	"flag"
	"math"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/audio/audiotest"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// seeds is how many passes each damage is tried on.
var seeds = flag.Int("seeds", race.Fewer(8, 2), "made passes for each damage")

// damage is something that happens to a pass, and the problem that must be named
// for it in every pass (issue 5, point 2).
type damage struct {
	name  string
	wants Code
	// gap is a floor for the share of passes where it is a known gap that not all are
	// named, over sixteen: 15 for wind, gain control and a loud engine, 11 for a soft
	// one. It guards against getting worse; nothing requires it. 0: all are.
	gap  float64
	with []Code // what the damage may be named as well
	do   func(seed uint64, m made) made
}

// damages are as strong as they begin to harm readings: see the codes and
// Options. With stronger ones nothing is missed.
func damages() []damage {
	kind := func(k synth.Kind, below float64) func(uint64, made) made {
		return func(seed uint64, m made) made { return m.beside(seed+1000, below, synth.Background{Kind: k}) }
	}
	// Another engine may run at any speed. At those where its lines fall on the
	// first one's it is not found, and one at 7,190 rpm is as steady as mains.
	beside := func(below float64) func(uint64, made) made {
		return func(seed uint64, m made) made {
			speed := 4500 + engine.RPM(seed*1597%8000)
			return m.beside(seed+1000, below, synth.Background{Kind: synth.SecondEngine, Speed: speed})
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
	call.AGC = nil
	return []damage{
		{"none", "", 0, nil, func(_ uint64, m made) made { return m }},
		{"clipped by 10 dB", Clipping, 0, nil, func(_ uint64, m made) made { return m.peak(10) }},
		{"peak at 16 steps", TooQuiet, 0, nil, func(_ uint64, m made) made { return m.peak(20 * math.Log10(16.0/(1<<15))) }},
		{"pink noise, as loud", Noise, 0, nil, kind(synth.Pink, 0)},
		{"white noise, 6 dB louder", Noise, 0, nil, kind(synth.White, -6)},
		{"wind, 12 dB louder", Wind, 0.8, []Code{Noise}, kind(synth.Wind, -12)},
		{"hum of 50 Hz, 15 dB softer", Hum, 0, nil, kind(synth.Hum50, 15)},
		{"hum of 60 Hz, 15 dB softer", Hum, 0, nil, kind(synth.Hum60, 15)},
		{"hum of 50 Hz, as loud", Hum, 0, []Code{Noise}, kind(synth.Hum50, 0)},
		{"call, 300 to 3400 Hz", NarrowBand, 0, nil, phone(call)},
		{"gain control", AutomaticGain, 0.8, nil, phone(synth.Handset())},
		{"another engine, 12 dB softer", MoreThanOneEngine, 0.5, []Code{Hum, Noise}, beside(12)},
		{"another engine, 6 dB softer", MoreThanOneEngine, 0.75, []Code{Hum, Noise}, beside(6)},
		{"another engine, as loud", MoreThanOneEngine, 0.75, []Code{Hum, Noise}, beside(0)},
	}
}

// TestRates holds every detector to what it finds of what is there, and to finding
// nothing that the damage did not bring; -v prints the rates, over sixteen passes
// with -seeds 16. One false alarm for each damage is allowed: a floor, no
// requirement.
func TestRates(t *testing.T) {
	const maxFalse = 1
	passes := make([]made, *seeds+1)
	each(*seeds, func(seed uint64) { passes[seed] = render(scene(seed)) })
	all := append(damages(), speaking(t)...)
	plain := namedIn(t, all[0], passes)
	for _, d := range all {
		found, alarms := 0, map[Code]int{}
		for seed, codes := range namedIn(t, d, passes) {
			for _, code := range codes {
				switch {
				case code == d.wants:
					found++
				case !slices.Contains(d.with, code) && !slices.Contains(plain[seed], code): // some passes are noisy as they are
					alarms[code]++
				}
			}
		}
		t.Logf("%-32s %-22s in %d of %d, besides: %v", d.name, d.wants, found, *seeds, alarms)
		least := *seeds
		if d.gap > 0 {
			least = int(d.gap * float64(*seeds))
		}
		if d.wants != "" && found < least {
			t.Errorf("%s: %s in %d of %d passes, want %d", d.name, d.wants, found, *seeds, least)
		}
		for code, n := range alarms {
			if n > maxFalse {
				t.Errorf("%s: %s in %d of %d passes, want none", d.name, code, n, *seeds)
			}
		}
	}
	for seed, codes := range plain {
		for _, code := range codes {
			if code != Noise { // of wind and leaves, as they are drawn with the scene
				t.Errorf("pass %d has %s without any damage", seed, code)
			}
		}
	}
}

// namedIn gives the problems that are named in each pass once it is damaged.
func namedIn(t *testing.T, d damage, passes []made) [][]Code {
	t.Helper()
	codes := make([][]Code, len(passes))
	each(len(passes)-1, func(seed uint64) {
		m := d.do(seed, passes[seed])
		h := must(assess(m.recorded(t), m.track, engine.TwoStrokeSingle))
		for _, p := range h.Judge(nil).Problems {
			codes[seed] = append(codes[seed], p.Code)
		}
	})
	return codes
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
		{"voice, 9 dB over the idle", Speech, 0, []Code{Noise}, over(9)},
		{"voice, 15 dB over the idle", Speech, 0, []Code{Noise}, over(15)},
		{"voice, 10 dB under the idle", "", 0, nil, over(-10)},
	}
}

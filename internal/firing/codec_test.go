package firing_test

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/audio/audiotest"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/shaft"
	"topnote/internal/synth"
)

// need skips a test that lacks a program; in CI, where all are installed, it fails.
func need(t testing.TB, program string) {
	t.Helper()
	_, err := exec.LookPath(program)
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatalf("%s is missing, which CI installs", program)
	}
	if err != nil {
		t.Skipf("%s is not installed; what it makes was not tried", program)
	}
}

func run(t testing.TB, program string, args ...string) {
	t.Helper()
	if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s %s: %v\n%s", program, strings.Join(args, " "), err, out)
	}
}

// coded sends a made pass through a codec of ffmpeg and back.
func coded(t testing.TB, m made, ext string, args ...string) made {
	t.Helper()
	dir := t.TempDir()
	plain, packed := filepath.Join(dir, "plain.wav"), filepath.Join(dir, "packed"+ext)
	if err := clip.WriteWAVFile(plain, m.samples, m.rate); err != nil {
		t.Fatal(err)
	}
	run(t, "ffmpeg", append(append([]string{"-v", "error", "-y", "-i", plain}, args...), packed)...)
	s, err := clip.Open(packed)
	if err != nil {
		t.Fatal(err)
	}
	if late := s.Samples.Len() - int(float64(len(m.samples))*float64(s.Rate/m.rate)); late < -1500 || late > 1500 {
		t.Fatalf("the codec changed the length by %d samples", late)
	}
	return made{audiotest.All(s.Samples), s.Rate, m.truth, m.engine}
}

// TestCodecs: the codecs of messengers and telephones leave the speed as it was.
func TestCodecs(t *testing.T) {
	notUnderRace(t)
	need(t, "ffmpeg")
	tests := []struct {
		name, ext string
		rate      engine.Hz
		args      []string
	}{
		{"Opus at 12 kbit/s", ".opus", 16000, []string{"-c:a", "libopus", "-b:a", "12k", "-application", "voip"}},
		{"Opus at 16 kbit/s", ".opus", 16000, []string{"-c:a", "libopus", "-b:a", "16k"}},
		{"AAC at 64 kbit/s", ".m4a", 44100, []string{"-c:a", "aac", "-b:a", "64k"}},
	}
	rows := make([]string, len(tests))
	t.Run("each", func(t *testing.T) {
		for i, tt := range tests {
			t.Run(tt.name, func(t *testing.T) {
				t.Parallel()
				var s passScore
				for seed := range *seeds {
					scene := drawPass(seed)
					scene.Rate = tt.rate
					s.follow(t, coded(t, render(scene), tt.ext, tt.args...), defaults())
				}
				rows[i] = s.row(tt.name)
				s.hold(t, 0)
			})
		}
	})
	t.Log("\n" + passHead + "\n" + strings.Join(rows, "\n"))
}

// speech gives a sentence spoken by espeak-ng, at the working rate.
func speech(t testing.TB, words string) audio.Memory {
	t.Helper()
	need(t, "espeak-ng")
	path := filepath.Join(t.TempDir(), "speech.wav")
	run(t, "espeak-ng", "-w", path, words)
	s, err := clip.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	return audiotest.All(s.Samples)
}

// sentences are what somebody might say into a telephone beside a saw.
const sentences = "This is the saw from the north shed. I opened the high screw by one eighth of a turn before lunch. " +
	"It still sounds lean to me, so please listen to the full throttle part and tell me what you think."

func rms(x []float32) float64 {
	var sum float64
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(len(x)))
}

// TestVoiceOverIdle: somebody talks while the engine idles, as loud as it.
func TestVoiceOverIdle(t *testing.T) {
	notUnderRace(t)
	voice := speech(t, sentences)
	var s passScore
	for seed := range *seeds {
		m := render(drawPass(seed))
		idle := m.samples[:int(1.9*float64(rate))]
		gain := float32(rms(idle) / rms(voice[:len(idle)]))
		for i := range idle {
			idle[i] += gain * voice[i]
		}
		s.follow(t, m, defaults())
	}
	t.Log("\n" + passHead + "\n" + s.row("voice over idle, 0 dB"))
	s.hold(t, 0)
}

// rejected holds a track of something that is no engine to the bar of issue 3:
// less than half a second with a speed.
func rejected(t *testing.T, tr shaft.Track) {
	t.Helper()
	told := tr.Told()
	t.Logf("a speed for %.2f s of %.2f", told, float64(len(tr.Points))*float64(tr.Hop))
	if told >= alarmAfter {
		t.Errorf("a speed for %.2f s", told)
	}
}

// TestNoSpeedFromSpeech: somebody talking is no engine.
func TestNoSpeedFromSpeech(t *testing.T) {
	tr, err := measure(t, speech(t, sentences), rate, engine.TwoStrokeSingle, defaults())
	if err != nil {
		t.Fatal(err)
	}
	rejected(t, tr)
}

// TestNoSpeed: nothing else that sounds is given a speed. Each has the noise of a
// microphone with it, and lasts as long as the recordings of places without an
// engine.
func TestNoSpeed(t *testing.T) {
	notUnderRace(t)
	const length = 5
	tests := []struct {
		name string
		kind synth.Kind
	}{
		{"white noise", synth.White}, {"pink noise", synth.Pink}, {"wind", synth.Wind},
		{"hum of 50 Hz", synth.Hum50}, {"hum of 60 Hz", synth.Hum60}, {"birds", synth.Birds},
		{"chords", synth.Chords}, {"fan", synth.Fan},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			for seed := range *seeds {
				scene := synth.Scene{
					Rate: rate, Seed: uint64(seed), Engine: engine.TwoStrokeSingle, Profile: synth.Profile{Length: length}, Room: synth.Yard(),
					Backgrounds: []synth.Background{{Kind: tt.kind}, {Kind: synth.White, Below: 40}}, Phone: synth.Recorder(),
				}
				tr, err := measure(t, scene.Render().Samples, rate, engine.TwoStrokeSingle, defaults())
				if err != nil {
					t.Fatal(err)
				}
				rejected(t, tr)
			}
		})
	}
}

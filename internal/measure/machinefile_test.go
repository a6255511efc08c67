package measure_test

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/synth"
)

// codecArgs has ffmpeg pack sound; the first is the ending of the file.
var codecArgs = map[synth.Codec][]string{
	synth.Opus12: {".opus", "-c:a", "libopus", "-b:a", "12k", "-application", "voip"},
	synth.Opus24: {".opus", "-c:a", "libopus", "-b:a", "24k"},
	synth.AAC32:  {".m4a", "-c:a", "aac", "-b:a", "32k"},
	synth.AAC64:  {".m4a", "-c:a", "aac", "-b:a", "64k"},
	synth.MP3x48: {".mp3", "-c:a", "libmp3lame", "-b:a", "48k"},
}

// recordTrial writes the sound of a trial to path, which has no ending, and
// gives the file's whole name.
func recordTrial(tr synth.Trial, path string) (string, error) {
	sound := tr.Render()
	file := path + ".wav"
	if len(sound.Channels) == 2 {
		if err := os.WriteFile(file, stereo(sound), 0o644); err != nil {
			return "", err
		}
	} else if err := clip.WriteWAVFile(file, sound.Channels[0], sound.Rate); err != nil {
		return "", err
	}
	if tr.Tampering != nil && tr.Tampering.Flip != nil {
		data, err := os.ReadFile(file)
		if err != nil {
			return "", err
		}
		data[tr.Tampering.Flip.At] ^= tr.Tampering.Flip.Mask
		return file, os.WriteFile(file, data, 0o644)
	}
	if tr.Codec == synth.NoCodec {
		return file, nil
	}
	return pack(file, path, codecArgs[tr.Codec])
}

// pack sends a WAV file through a codec. Without ffmpeg it stays what it is.
func pack(wav, path string, args []string) (string, error) {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		return wav, nil
	}
	file := path + args[0]
	args = slices.Concat([]string{"-nostdin", "-v", "error", "-y", "-i", wav}, args[1:], []string{file})
	if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
		return "", fmt.Errorf("ffmpeg cannot make %s: %w: %s", file, err, out)
	}
	return file, os.Remove(wav)
}

// stereo gives two channels as a WAV file of 16 bits.
//
// Source of the layout: Microsoft and IBM 1991, WAVE chapter.
func stereo(s synth.TrialSound) []byte {
	const bytes, channels, pcm, formatSize, headSize = 2, 2, 1, 16, 36
	left, right := s.Channels[0], s.Channels[1]
	size := uint32(bytes * channels * len(left))
	rate := uint32(s.Rate)
	data := []byte("RIFF")
	put32 := func(v uint32) { data = binary.LittleEndian.AppendUint32(data, v) }
	put16 := func(v uint16) { data = binary.LittleEndian.AppendUint16(data, v) }
	put32(headSize + size)
	data = append(data, "WAVEfmt "...)
	put32(formatSize)
	put16(pcm)
	put16(channels)
	put32(rate)
	put32(rate * bytes * channels)
	put16(bytes * channels)
	put16(8 * bytes)
	data = append(data, "data"...)
	put32(size)
	for i := range left {
		for _, x := range []audio.Memory{left, right} {
			put16(uint16(int16(math.Round(float64(x[i]) * math.MaxInt16))))
		}
	}
	return data
}

// keptTruth is the truth of a kept pass, in the form of ../shared/passes.
type keptTruth struct {
	Clip    string   `json:"clip"`
	Machine string   `json:"machine"`
	Tune    string   `json:"tune"`
	Limit   float64  `json:"limit"`
	HeldRPM float64  `json:"held_rpm"`
	IdleRPM float64  `json:"idle_rpm"`
	Damage  []string `json:"damage"`
	Tamper  string   `json:"tampering,omitempty"` // times and speeds below are those of the engine, before it

	Speed  []keptSpeed  `json:"speed"`
	Firing []keptFiring `json:"firing"`
}

type keptSpeed struct {
	At  []float64 `json:"t_s"`
	RPM []float64 `json:"rpm"`
}

type keptFiring struct {
	From  float64 `json:"from_s"`
	To    float64 `json:"to_s"`
	Every int     `json:"fires_every_rev"`
}

// truthOf gives the truth of a trial whose sound is the file.
func truthOf(tr synth.Trial, file string) keptTruth {
	x := tr.Truth()
	k := keptTruth{
		Clip: filepath.Base(file), Machine: string(tr.Machine), Tune: string(tr.Tune), Limit: float64(tr.Limits.Max),
		HeldRPM: math.Round(float64(x.Held)), IdleRPM: math.Round(float64(x.Idle)), Damage: append([]string{}, tr.Damages...), Speed: make([]keptSpeed, 1),
	}
	if tr.Tampering != nil {
		k.Tamper = tr.Tampering.Name
	}
	const hop, edge engine.Seconds = 0.02, 0.1
	for at := edge; at < x.Run.Length-edge; at += hop {
		k.Speed[0].At = append(k.Speed[0].At, math.Round(100*float64(at))/100)
		k.Speed[0].RPM = append(k.Speed[0].RPM, math.Round(float64(x.Run.SpeedAt(at))))
	}
	for _, s := range x.Run.Spans {
		if s.Name == synth.FullThrottle && x.Every > 0 {
			k.Firing = append(k.Firing, keptFiring{float64(s.From), float64(s.To), x.Every})
		}
	}
	return k
}

// keepTrials writes the sounds of trials and their truth.json into a folder.
func keepTrials(t *testing.T, folder string, all []numbered) {
	t.Helper()
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	var truths []keptTruth
	for _, n := range all {
		file, err := recordTrial(n.trial, filepath.Join(folder, n.name))
		if err != nil {
			t.Fatal(err)
		}
		truths = append(truths, truthOf(n.trial, file))
	}
	data, err := json.Marshal(truths)
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(folder, "truth.json"), data)
}

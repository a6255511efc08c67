package quality

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/noise"
	"topnote/internal/shaft"
	"topnote/internal/synth"
)

const rate engine.Hz = 8000

// made is a rendered pass with the track that a perfect tracker would give, so
// that these tests measure the detectors and not the tracker.
type made struct {
	sound audio.Memory
	track shaft.Track
}

// measureTrack gives the track that is read from a sound.
func measureTrack(ctx context.Context, s *clip.Sound) (shaft.Track, error) {
	mains, err := noise.FindMains(ctx, s.Samples, s.Rate)
	if err != nil {
		return shaft.Track{}, err
	}
	x := mains.Remove(s.Samples)
	t, err := shaft.Follow(ctx, x, s.Rate, engine.Machine{Spec: engine.TwoStrokeSingle})
	if err != nil {
		return shaft.Track{}, err
	}
	t, _, err = firing.Classify(ctx, x, s.Rate, t, engine.TwoStrokeSingle)
	return t, err
}

// trackOf turns the truth of a run into a track.
func trackOf(r *synth.Run) shaft.Track {
	t := shaft.Track{Hop: 0.02}
	for at := engine.Seconds(0); at < r.Length; at += t.Hop {
		p := shaft.Point{At: at, Speed: r.SpeedAt(at), Confidence: 0.95, Fires: shaft.Firing(r.FiresAt(at))}
		p.SD = 0.002 * p.Speed
		t.Points = append(t.Points, p)
	}
	return t
}

// scene gives a pass of 7 s at 8 kHz; speed, firing, voice and how much noise
// and wind there ordinarily is are drawn from the seed.
func scene(seed uint64) synth.Scene {
	n := engine.RPM(seed)
	top := 11600 + 137*n
	p := synth.Pass{Idle: 2500 + 29*n, Top: top, IdleFor: 1.6, RiseIn: 0.4, HoldFor: 2.6, FallIn: 0.8, ReturnFor: 1.6}.Profile()
	full := synth.Clean()
	if seed%2 == 0 {
		full = synth.Mixed(0.5, 0.4, synth.Mode{Every: 2, Share: 0.7}, synth.Mode{Every: 3, Share: 0.3})
	}
	idle := synth.Mixed(0.4, 0.5, synth.Mode{Every: 1, Share: 0.75}, synth.Mode{Every: 2, Share: 0.25})
	const unseen = 500 // thresholds were chosen on scenes with other seeds
	s := synth.NewScene(seed+unseen, p, synth.ByPhase(p, map[string]synth.Firing{"": idle, synth.Rise: synth.Clean(), synth.FullThrottle: full}))
	s.Rate = rate
	return s
}

func render(s synth.Scene) made {
	sound := s.Render()
	return made{sound: sound.Samples, track: trackOf(&sound.Truth.Run)}
}

// each calls do for the numbers from 1 to n, on all processors, and waits.
func each(n int, do func(seed uint64)) {
	var wait sync.WaitGroup
	turn := make(chan struct{}, runtime.GOMAXPROCS(0))
	for seed := uint64(1); seed <= uint64(n); seed++ {
		wait.Go(func() {
			turn <- struct{}{}
			defer func() { <-turn }()
			do(seed)
		})
	}
	wait.Wait()
}

// beside gives m with another sound, so many decibels softer than m as a whole.
func (m made) beside(seed uint64, below float64, b synth.Background) made {
	other := synth.Scene{
		Rate: rate, Seed: seed, Profile: synth.Profile{Length: engine.Seconds(float64(len(m.sound))/float64(rate)) + 0.1},
		Backgrounds: []synth.Background{b},
	}.Render().Samples
	return m.mixed(other, below)
}

func (m made) mixed(other []float32, below float64) made {
	other = other[:min(len(other), len(m.sound))]
	gain := float32(rms(m.sound) / rms(other) * math.Pow(10, -below/20))
	out := make([]float32, len(m.sound))
	copy(out, m.sound)
	for i, v := range other {
		out[i] += gain * v
	}
	const headroom = -3 // dB, as synth.Recorder leaves
	return made{sound: out, track: m.track}.peak(headroom)
}

// peak gives m with its loudest sample at a level against full scale; above 0
// it is clipped by that much.
func (m made) peak(db float64) made {
	var loudest float32
	for _, v := range m.sound {
		loudest = max(loudest, v, -v)
	}
	gain := float32(math.Pow(10, db/20)) / loudest
	out := make([]float32, len(m.sound))
	for i, v := range m.sound {
		out[i] = gain * v
	}
	return made{sound: out, track: m.track}
}

func rms(x []float32) float64 {
	var sum float64
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(len(x)))
}

// recorded takes m through a file of 16 bits and back, as a user's clip comes.
func (m made) recorded(t testing.TB) *clip.Sound {
	t.Helper()
	path := filepath.Join(t.TempDir(), "pass.wav")
	if err := clip.WriteWAVFile(path, m.sound, rate); err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	sound, err := clip.Read(bytes.NewReader(file), "pass.wav")
	if err != nil {
		t.Fatal(err)
	}
	return sound
}

var (
	pinkNoise   = synth.Background{Kind: synth.Pink}
	otherEngine = synth.Background{Kind: synth.SecondEngine}
)

// must gives a result of sound that lies in memory and can always be read.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// assess assesses a sound along a track, its conditions first.
func assess(s *clip.Sound, t shaft.Track, e engine.Spec) (Assessment, error) {
	ctx := context.Background()
	mains, err := noise.FindMains(ctx, s.Samples, s.Rate)
	if err != nil {
		return Assessment{}, err
	}
	conditions, err := noise.Assess(ctx, s.Samples, s.Rate, mains, noise.Default())
	if err != nil {
		return Assessment{}, err
	}
	return Assess(ctx, Input{Sound: s, Conditions: conditions, Track: t, Engine: e}, Default())
}

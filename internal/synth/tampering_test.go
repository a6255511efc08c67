package synth

import (
	"math"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

func TestSlowedSoundFalls(t *testing.T) {
	const rate = 8000
	x := make(audio.Memory, rate)
	for i := range x {
		x[i] = float32(math.Sin(2 * math.Pi * 800 / rate * float64(i)))
	}
	for _, share := range []float64{0.125, 0.4, 0.6} {
		got := Tampering{Slowed: share}.apply(x, rate)
		if want := int(rate / share); len(got) != want {
			t.Errorf("at %v: %d samples, want %d", share, len(got), want)
		}
		if a := tone(got[rate/4:], engine.Hz(800*share), rate); math.Abs(a-1) > 0.02 {
			t.Errorf("at %v: a tone of %.3f at %v Hz, want 1", share, a, 800*share)
		}
	}
}

func TestBuffers(t *testing.T) {
	const rate = 1000
	x := make(audio.Memory, 80)
	for i := range x {
		x[i] = float32(i + 1)
	}
	tests := []struct {
		name   string
		buffer Buffer
		length int
		at     map[int]float32 // samples of what comes out
	}{
		{"every fourth lost", Buffer{Long: 0.01, Every: 4, Fault: Lost}, 60, map[int]float32{29: 30, 30: 41, 59: 70}},
		{"every fourth muted", Buffer{Long: 0.01, Every: 4, Fault: Muted}, 80, map[int]float32{29: 30, 30: 0, 39: 0, 40: 41, 79: 0}},
		{"every fourth repeated", Buffer{Long: 0.01, Every: 4, Fault: Repeated}, 80, map[int]float32{30: 21, 39: 30, 40: 41, 70: 61}},
		{"stuck for 30 ms from 20 ms on", Buffer{Long: 0.01, Fault: Repeated, From: 0.02, For: 0.03}, 80, map[int]float32{29: 30, 30: 21, 40: 21, 59: 30, 60: 61}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := Tampering{Buffer: &tt.buffer}.apply(x, rate)
			if len(got) != tt.length {
				t.Fatalf("%d samples, want %d", len(got), tt.length)
			}
			for i, want := range tt.at {
				if got[i] != want {
					t.Errorf("sample %d is %v, want %v", i, got[i], want)
				}
			}
		})
	}
	if got := (Tampering{Paired: true}).apply(x[:3], rate); !slices.Equal(got, audio.Memory{1, 1, 2, 2, 3, 3}) {
		t.Errorf("pairs of 1, 2, 3 are %v", got)
	}
}

func TestFlipsLeaveARate(t *testing.T) {
	d := dice{newRand(1, 1)}
	for range 200 {
		f := drawFlip(d, sampleRate)
		rate := int(sampleRate) ^ int(f.Mask)<<(8*(f.At-headerRate))
		if f.At < headerRate || f.At > headerRate+3 || rate < 4000 || rate > 192000 || rate == int(sampleRate) {
			t.Fatalf("byte %d, mask %#x: a rate of %d Hz", f.At, f.Mask, rate)
		}
	}
}

package synth

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

func TestAfterKeepsTheTruth(t *testing.T) {
	const cut = 2.0
	whole := DesignSaw().Drive(DrawHand(3, 6), 1.25, 3)
	part := whole.After(cut)
	if math.Abs(float64(part.Length-4)) > 0.001 {
		t.Errorf("length %v s, want 4", part.Length)
	}
	for at := engine.Seconds(0); at < 3.9; at += 0.0537 {
		if got, want := part.SpeedAt(at), whole.SpeedAt(at+cut); math.Abs(float64(got-want)) > 0.01 {
			t.Fatalf("speed %v at %v s, want %v as before the cut", got, at, want)
		}
		if got, want := part.FiresAt(at), whole.FiresAt(at+cut); got != want && at > 0.05 {
			t.Fatalf("fires every %d at %v s, want %d as before the cut", got, at, want)
		}
	}
	turns, kept := whole.Revolutions(), part.Revolutions()
	if got, want := kept[len(kept)-1]+cut, turns[len(turns)-1]; math.Abs(float64(got-want)) > 0.001 {
		t.Errorf("last turn ends at %v s, want %v", got, want)
	}
	s := Scene{Rate: 8000, Exactly: part, Voice: DrawVoice(1), Room: Open(), Phone: Recorder()}
	if got := len(s.Render().Samples); got != 32000 {
		t.Errorf("%d samples, want 32000", got)
	}
}

func TestFieldClipsAreVaried(t *testing.T) {
	fast, slow, burbling := 0, 0, 0
	for seed := range uint64(40) {
		r := DrawField(seed).Run()
		if math.Abs(float64(r.Length-5)) > 0.001 {
			t.Fatalf("seed %d: %v s, want 5", seed, r.Length)
		}
		for at := engine.Seconds(0.2); at < 4.8; at += 0.1 {
			switch v := r.SpeedAt(at); {
			case v > 8000:
				fast++
			case v > 0 && v < 4000:
				slow++
			}
			if r.SteadyAt(at, 0.05) > 1 {
				burbling++
			}
		}
	}
	const looks, fair = 40 * 46, 0.05 // a test over a hundred clips then has each kind in five
	if least := int(fair * looks); min(fast, slow, burbling) < least {
		t.Errorf("of %d looks %d are fast, %d slow, %d four-stroking, want %d of each", looks, fast, slow, burbling, least)
	}
}

package quality

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/audio/audiotest"
	"topnote/internal/clip"
	"topnote/internal/shaft"
)

// TestHarm prints what each damage costs: what the order of the codes goes
// by. It takes minutes, so it runs only on demand:
//
//	HARM=1 go test -run Harm -v ./internal/quality
func TestHarm(t *testing.T) {
	if os.Getenv("HARM") == "" {
		t.Skip("takes minutes; HARM=1 runs it")
	}
	const passes = 6
	var field []handRead
	if _, err := os.Stat(recordings); err == nil {
		field = readByHand(t)
	}
	for _, d := range append(damages(), speaking(t)...) {
		made, read := harm{}, harm{}
		for seed := uint64(1); seed <= passes; seed++ {
			m := d.do(seed, render(scene(seed)))
			made.add(t, m.recorded(t), m.track)
		}
		for i, r := range field {
			if d.wants == NarrowBand || d.wants == AutomaticGain {
				break // these are made anew, from a scene
			}
			sound, err := clip.Open(filepath.Join(recordings, "engine", r.Clip))
			if err != nil {
				t.Fatal(err)
			}
			track := r.track(sound.Info.Duration)
			m := d.do(uint64(i), madeOf(sound, track))
			read.add(t, m.recorded(t), track)
		}
		t.Logf("%-32s passes: %v; recordings: %v", d.name, made, read)
	}
}

func madeOf(s *clip.Sound, t shaft.Track) made {
	return made{sound: audiotest.All(s.Samples), track: t}
}

// harm is what was lost.
type harm struct {
	points, gross int     // readings with a true speed; lost or more than 5 % off
	firing, wrong int     // readings at speed whose firing is known and was told; wrong between missing and not
	held          float64 // largest error of the held speed, relative
}

func (h *harm) add(t *testing.T, s *clip.Sound, truth shaft.Track) {
	t.Helper()
	got, err := measureTrack(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	const coarse, fast = 0.05, 6000
	for i, want := range truth.Points[:min(len(truth.Points), len(got.Points))] {
		p := got.Points[i]
		if !want.Speed.Told() {
			continue
		}
		h.points++
		if math.Abs(float64(p.Speed/want.Speed)-1) > coarse {
			h.gross++
		} else if want.Speed > fast && want.Fires.Told() && p.Fires.Told() {
			h.firing++
			if p.Fires.FourStroking() != want.Fires.FourStroking() {
				h.wrong++
			}
		}
	}
	if a, b := heldSpeed(got), heldSpeed(truth); a > 0 && b > 0 {
		h.held = max(h.held, math.Abs(a/b-1))
	}
}

// heldSpeed gives the highest median speed over half a second, all of it told, in
// rpm; 0 where there is none.
func heldSpeed(t shaft.Track) (held float64) {
	const half = 25 // points
	for from := 0; from+half <= len(t.Points); from++ {
		var speeds []float64
		for _, p := range t.Points[from : from+half] {
			speeds = append(speeds, float64(p.Speed))
		}
		slices.Sort(speeds)
		if speeds[0] > 0 {
			held = max(held, speeds[half/2])
		}
	}
	return held
}

func (h harm) String() string {
	percent := func(part, of int) float64 { return 100 * float64(part) / math.Max(1, float64(of)) }
	return fmt.Sprintf("%4.1f %% of readings, %4.1f %% of firing, held %5.2f %% off", percent(h.gross, h.points), percent(h.wrong, h.firing), 100*h.held)
}
